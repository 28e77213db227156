// Signing out leaves nothing on the phone, and says so before entries are lost.
"use strict";
const SigningOut = {
  start() {
    if (!Phone.can) return;
    document.addEventListener("submit", (event) => {
      if (event.target.dataset.signOut === undefined || Forms.passed.delete(event.target)) return;
      event.preventDefault();
      SigningOut.ask(event.target);
    }, true);
    const dialog = document.getElementById("phone-leaving");
    dialog.addEventListener("close", () => SigningOut.decided(dialog.returnValue));
  },

  async ask(form) {
    SigningOut.form = form;
    const entries = (await Store.all("entries")).length;
    if (!entries) return SigningOut.leave();
    const others = await Queue.othersCount();
    const dialog = document.getElementById("phone-leaving");
    dialog.querySelector("[data-says]").textContent = `${Said.count(entries, "entry has", "entries have")} not been sent${others ? ` (${others} of another person)` : ""}. Signing out deletes ${entries === 1 ? "it" : "them"} for good.`;
    dialog.showModal();
  },

  async decided(word) {
    if (word === "send") {
      await Queue.send();
      if ((await Store.all("entries")).length) location.href = "/phone/";
      else await SigningOut.leave();
    }
    if (word === "lose") await SigningOut.leave();
  },

  async leave() {
    if (!await Register.state()) {
      return Forms.say(SigningOut.form, "Signing out needs the network. To leave nothing on this phone, go to On this phone and remove everything.");
    }
    await Store.forgetAll();
    Forms.passed.add(SigningOut.form);
    SigningOut.form.requestSubmit();
  },
};
SigningOut.start();

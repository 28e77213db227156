// Asks the register whether it can be reached, and who is signed in there.
"use strict";
const Register = {
  STATE: "/phone/state.json",

  // { person, csrf } when signed in, { signedOut } when not, null when there is no network. Notes the clock's error.
  async state(patience = 4000) {
    let answer;
    try {
      answer = await fetch(Register.STATE, { cache: "no-store", redirect: "manual", signal: AbortSignal.timeout(patience) });
    } catch {
      return null;
    }
    if (answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) return { signedOut: true };
    if (!answer.ok) return null;
    await Register.noteClock(answer.headers.get("Date"));
    return answer.json();
  },

  // By how many seconds this phone's clock is ahead.
  async noteClock(date) {
    if (date) await Store.put("facts", Math.round((Date.now() - Date.parse(date)) / 1000), "ahead");
  },
};

// The search box by keyboard: "/" goes to it, arrows go through what was found, Enter opens it, Escape closes it.
"use strict";
(() => {
  const box = document.getElementById("find-anything");
  const below = document.getElementById("found-below");
  if (!box || !below) return;

  const links = () => [...below.querySelectorAll("a")];
  const isField = (element) => element.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(element.tagName);
  const close = () => { below.hidden = true; };
  const open = () => { below.hidden = !below.textContent.trim(); };

  const step = (by) => {
    const stops = [box, ...links()];
    const at = stops.indexOf(document.activeElement);
    stops[(at + by + stops.length) % stops.length].focus();
  };

  document.addEventListener("keydown", (event) => {
    if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || isField(event.target)) return;
    event.preventDefault();
    box.focus();
    box.select();
  });

  box.form.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !below.hidden) {
      event.preventDefault();
      box.focus();
      close();
    } else if (!below.hidden && (event.key === "ArrowDown" || event.key === "ArrowUp")) {
      event.preventDefault();
      step(event.key === "ArrowDown" ? 1 : -1);
    }
  });

  box.form.addEventListener("focusout", (event) => {
    if (!box.form.contains(event.relatedTarget)) close();
  });
  box.addEventListener("focus", open);
  below.addEventListener("htmx:afterSwap", open);
  // A press on a link must not take the focus away before it is followed.
  below.addEventListener("mousedown", (event) => event.preventDefault());
})();

// Says which page is missing, for the address bar of an installed app isn't seen, and which sites are kept.
"use strict";
(async () => {
  if (!window.indexedDB || !await Store.exists()) return;
  for (const { code, name } of await Store.sites()) {
    const item = document.createElement("li");
    const link = Object.assign(document.createElement("a"), { href: `/sites/${code}/`, textContent: name });
    item.append(link);
    document.getElementById("not-kept-sites").append(item);
    document.getElementById("not-kept-but").hidden = false;
  }
})();
document.getElementById("not-kept-address").textContent = location.pathname;
document.getElementById("not-kept-again").addEventListener("click", () => location.reload());

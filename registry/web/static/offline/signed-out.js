// The register says that nobody is signed in: the copies go. Entries stay for whoever made them.
"use strict";
if (window.isSecureContext && window.caches && window.indexedDB) Store.forgetCopies().catch(() => null);

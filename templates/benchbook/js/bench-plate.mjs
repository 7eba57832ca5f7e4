// The page of a plate: each scan opens in the close view.

import { Viewer } from "./viewer.mjs";

const dialog = document.querySelector("[data-viewer]");

if (dialog && typeof dialog.showModal === "function") {
  const viewer = new Viewer(dialog);
  for (const opener of document.querySelectorAll("[data-viewer-open]")) {
    opener.addEventListener("click", (event) => {
      if (event.ctrlKey || event.metaKey || event.shiftKey) return; // a new tab is asked for
      event.preventDefault();
      const small = opener.querySelector("img");
      viewer.open({
        src: opener.href,
        width: Number(opener.dataset.width),
        height: Number(opener.dataset.height),
        alt: small.alt,
        preview: small.currentSrc,
      });
    });
  }
}

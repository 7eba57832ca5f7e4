// The page of a plate: the close view, and passing the address on.

import { Viewer } from "./viewer.mjs";
import { offerSharing } from "./share.mjs";

const dialog = document.querySelector("[data-viewer]");
const opener = document.querySelector("[data-viewer-open]");
const button = document.querySelector("[data-viewer-button]");

if (dialog && opener && typeof dialog.showModal === "function") {
  const viewer = new Viewer(dialog);
  const small = opener.querySelector("img");
  const open = (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return; // a new tab is asked for
    event.preventDefault();
    viewer.open({
      src: opener.href,
      width: Number(opener.dataset.width),
      height: Number(opener.dataset.height),
      alt: small.alt,
      preview: small.currentSrc,
    });
  };
  opener.addEventListener("click", open);
  if (button) {
    button.hidden = false;
    button.addEventListener("click", open);
  }
}

offerSharing(document);

// Sharing the address of a public page: by the system's own sheet where there
// is one, and by copying everywhere a page may write to the clipboard. The
// buttons are hidden in the page and shown only where they will work.

export function offerSharing(root) {
  const share = root.querySelector("[data-share]");
  const copy = root.querySelector("[data-copy]");
  const status = root.querySelector("[data-share-status]");
  const address = root.querySelector("link[rel=canonical]")?.href ?? location.href;

  if (share && typeof navigator.share === "function") {
    share.hidden = false;
    share.addEventListener("click", () => {
      navigator.share({ title: root.title, url: address }).catch((error) => {
        if (error.name !== "AbortError" && copy) copy.click();
      });
    });
  }
  if (copy && navigator.clipboard) {
    copy.hidden = false;
    copy.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(address);
        status.textContent = copy.dataset.done;
      } catch {
        status.textContent = copy.dataset.failed;
      }
    });
  }
}

/**
 * Asks for notation engraved to the room that it has, instead of shrinking a picture made for
 * another width. A <figure data-notation-src> holds what the server drew at data-notation-width.
 */
const STEP = 40;
const SETTLED_MS = 180;

const timers = new WeakMap();

const watcher = new ResizeObserver((entries) => {
  for (const { target } of entries) {
    clearTimeout(timers.get(target));
    timers.set(target, setTimeout(() => fit(target), SETTLED_MS));
  }
});

/** @param {HTMLElement} sheet */
async function fit(sheet) {
  const room = Math.min(1600, Math.max(240, Math.floor(sheet.clientWidth)));
  const wanted = room - (room % STEP);
  if (!sheet.isConnected || sheet.clientWidth === 0 || Number(sheet.dataset.notationWidth) === wanted) return;
  const address = new URL(sheet.dataset.notationSrc, document.baseURI);
  address.searchParams.set("width", String(wanted));
  try {
    const answer = await fetch(address, { headers: { "HX-Request": "true" } });
    if (!answer.ok || answer.redirected) return;
    const drawn = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("svg");
    if (drawn === null) return;
    sheet.dataset.notationWidth = String(wanted);
    sheet.replaceChildren(document.importNode(drawn, true));
  } catch {
    // Without a connection the picture that is there stays: smaller or larger, but right.
  }
}

/** @param {ParentNode} root */
function watch(root) {
  if (root instanceof Element && root.matches("[data-notation-src]")) watcher.observe(root);
  for (const sheet of root.querySelectorAll("[data-notation-src]")) watcher.observe(sheet);
}

document.addEventListener("htmx:load", (event) => watch(event.detail.elt));
watch(document);

/**
 * A steady tick from outside the page's own thread, because browsers slow a page's timers down
 * when it is in the background. Post {every: milliseconds} to begin and {every: 0} to stop.
 */
let timer = 0;

self.addEventListener("message", (message) => {
  clearInterval(timer);
  const every = Number(message.data.every);
  if (every > 0) timer = setInterval(() => self.postMessage("tick"), every);
});

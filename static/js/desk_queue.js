/**
 * Presses at the lesson desk, kept on the device until the studio has said what became of them.
 *
 * A press is written down before it is sent and carries a key of its own: whatever happens between
 * press and answer, it is sent again later, and the studio does it once.
 */

const WAITING = "studio.desk.waiting";
const DRAFTS = "studio.desk.drafts";
const PATIENCE_MS = 15_000;
// Asking again will not help.
const NEVER = new Set([400, 404, 405, 413, 422]);

/**
 * @typedef {Object} Press
 * @property {string} key its own, known to nobody before
 * @property {string} user who pressed; nobody else's browser session sends it
 * @property {string} path where it goes
 * @property {string} about what a newer press on the same thing takes the place of
 * @property {string} slip the element that shows it
 * @property {[string, string][]} pairs what the form said
 * @property {string} result what stands there once it is done
 * @property {string[]} seen what stood there when it was pressed
 * @property {string} [stuck] why it will never be done, in words
 */

/** A place to keep text that survives a reload; memory where the browser allows no other. */
function shelf() {
  try {
    localStorage.setItem(`${WAITING}.try`, "1");
    localStorage.removeItem(`${WAITING}.try`);
    return localStorage;
  } catch {
    const held = new Map();
    return {
      getItem: (name) => held.get(name) ?? null,
      setItem: (name, text) => held.set(name, text),
    };
  }
}

const place = shelf();

function read(name, otherwise) {
  try {
    return JSON.parse(place.getItem(name)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

function write(name, value) {
  try {
    place.setItem(name, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

/** A key that nobody has had before; also where the page is not served over https. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {string} user @returns {Press[]} what this person pressed and waits, oldest first */
export function waiting(user) {
  return read(WAITING, []).filter((press) => press.user === user);
}

/** Keep a press. One that still waits on the same thing gives way to it. @param {Press} press */
export function keep(press) {
  const others = read(WAITING, []);
  const before = others.filter((each) => each.about === press.about && each.user === press.user);
  // The older one may have arrived all the same: then what it did was seen too.
  press.seen = [...before.flatMap((each) => [...each.seen, each.result]), ...press.seen];
  return write(WAITING, [...others.filter((each) => !before.includes(each)), press]);
}

/** Another token against forged forms: signing in makes the one on an older page worthless. */
export async function freshToken() {
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    return answer.redirected ? "" : tokenOn(page);
  } catch {
    return "";
  }
}

/** @param {Document} page */
export function tokenOn(page) {
  return page.querySelector("#desk-kept input[name=csrfmiddlewaretoken]")?.value ?? "";
}

/** @param {string} key */
export function letGo(key) {
  write(WAITING, read(WAITING, []).filter((press) => press.key !== key));
}

/** @param {string} key @param {string} words */
export function stick(key, words) {
  const all = read(WAITING, []);
  for (const press of all) if (press.key === key) press.stuck = words;
  write(WAITING, all);
}

/** What was typed and not yet pressed. @returns {{text: string, seen: string}|undefined} */
export function draft(user, path) {
  return read(DRAFTS, {})[`${user} ${path}`];
}

/** @param {string} user @param {string} path @param {{text: string, seen: string}|null} value */
export function keepDraft(user, path, value) {
  const all = read(DRAFTS, {});
  delete all[`${user} ${path}`];
  if (value) all[`${user} ${path}`] = value;
  write(DRAFTS, all);
}

/**
 * Send a press and say what became of it.
 *
 * `done` and `refused` come with the slip as it is now; `away` means no answer, `signed-out` that
 * somebody must sign in first, `stale` that the page is too old to press, `gone` that there is
 * nothing to press any more.
 * @param {Press} press @param {string} token against forged forms
 * @returns {Promise<{became: string, html?: string, signIn?: string}>}
 */
export async function send(press, token) {
  const body = new URLSearchParams(press.pairs);
  body.set("press_key", press.key);
  for (const text of press.seen) body.append("seen", text);
  const impatience = new AbortController();
  const timer = setTimeout(() => impatience.abort(), PATIENCE_MS);
  try {
    const answer = await fetch(press.path, {
      method: "POST",
      body,
      headers: { "HX-Request": "true", "X-CSRFToken": token },
      signal: impatience.signal,
    });
    const became = answer.headers.get("X-Desk");
    if (became) return { became, html: await answer.text() };
    const signIn = answer.headers.get("HX-Redirect");
    if (signIn) return { became: "signed-out", signIn };
    if (answer.status === 403) return { became: "stale" };
    if (NEVER.has(answer.status)) return { became: "gone" };
    // A fault of the studio's, or somebody else answered: a hotel's sign-in page, say.
    return { became: "away" };
  } catch {
    return { became: "away" };
  } finally {
    clearTimeout(timer);
  }
}

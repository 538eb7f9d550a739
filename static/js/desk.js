/**
 * The lesson desk: every press is kept on the device first, then sent, and sent again after a
 * dropped connection. Without this module the same forms are ordinary forms.
 */
import * as queue from "./desk_queue.js";

const AGAIN_MS = 10_000;
const HERE = matchMedia("(pointer: coarse)").matches ? "phone" : "computer";
const WORDS = {
  away: `Kept on this ${HERE}. It goes when there is a connection.`,
  stale: `Kept on this ${HERE}. Open this page again, and it goes.`,
  "signed-out": `You are signed out. Kept on this ${HERE}: sign in, and it goes.`,
};
const GONE = "The studio does not take this any more: the lesson or its place in it is gone.";

/** The box at the top for presses whose slip is not on this page; it also says who is here. */
const box = document.getElementById("desk-kept");
const user = () => box?.dataset.user ?? "";
let token = queue.tokenOn(document);
const formOf = (press, within = document) =>
  [...within.querySelectorAll("form[data-desk]")].find((form) => aboutOf(form) === press.about);

/** What a newer press of the same sort takes the place of. @param {HTMLFormElement} form */
function aboutOf(form) {
  return `${form.dataset.desk} ${path(form)} ${form.elements.student?.value ?? ""}`;
}

const path = (form) => new URL(form.getAttribute("action"), location.href).pathname;

// --- pressing ------------------------------------------------------------------------------------
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.dataset.desk || !user()) return;
  const press = pressOf(form, event.submitter);
  // A device that cannot keep anything sends the form as any browser would.
  if (!queue.keep(press)) return;
  event.preventDefault();
  queue.keepDraft(user(), path(form), null);
  show(press, form);
  if (press.result === "present") noteOf(form)?.focus({ preventScroll: true });
  flush();
});

/** @param {HTMLFormElement} form @param {HTMLButtonElement} button @returns {queue.Press} */
function pressOf(form, button) {
  const data = new FormData(form);
  data.delete("csrfmiddlewaretoken");
  if (button?.name) data.append(button.name, button.value);
  const pairs = [...data.entries()];
  const said = Object.fromEntries(pairs);
  return {
    key: queue.newKey(),
    user: user(),
    path: path(form),
    about: aboutOf(form),
    slip: form.closest(".slip").id,
    pairs,
    result: form.dataset.desk === "mark" ? said.attendance : form.elements.body.value,
    seen: [form.dataset.deskSeen],
  };
}

// --- showing -------------------------------------------------------------------------------------
/** Show a press as if it were done: what is on the page is what was meant. */
function show(press, form) {
  if (form.dataset.desk === "note") {
    form.elements.body.value = press.result;
    form.closest("details").open = true;
    return;
  }
  for (const button of form.querySelectorAll("[data-mark]")) {
    const isPressed = button.dataset.mark === press.result;
    button.setAttribute("aria-pressed", isPressed);
    button.value = isPressed ? "unmarked" : button.dataset.mark;
    button.textContent = `${isPressed ? "✓ " : ""}${button.dataset.words}`;
  }
  const note = noteOf(form);
  if (note && press.result === "present") note.closest("details").open = true;
}

/** The note of the same student. @param {HTMLFormElement} form */
function noteOf(form) {
  return form.closest(".slip-student").querySelector("textarea");
}

/** Say beside the student where a press has got to. */
function say(press, words, link) {
  const form = formOf(press);
  const said = form?.closest(".slip-student").querySelector("[data-desk-said]");
  if (!said) return;
  said.textContent = words;
  if (link) said.append(" ", link);
}

function signInLink(address) {
  const link = document.createElement("a");
  const next = encodeURIComponent(location.pathname + location.search);
  link.href = `${new URL(address, location.href).pathname}?next=${next}`;
  link.textContent = "Sign in";
  return link;
}

/** Put the studio's answer in the place of what is on the page. */
function swap(press, html) {
  const old = document.getElementById(press.slip);
  const fresh = new DOMParser().parseFromString(html, "text/html").getElementById(press.slip);
  if (!old || !fresh) return false;
  if (press.path.includes("/notes/")) swapSlip(old, fresh, press);
  else swapMark(old, fresh, press);
  return true;
}

/** Of a mark only its buttons and what is said above: a note that is being typed is let be. */
function swapMark(old, fresh, press) {
  for (const said of old.querySelectorAll(":scope > .notice")) said.remove();
  old.prepend(...fresh.querySelectorAll(":scope > .notice"));
  const [form, answer] = [old, fresh].map((slip) => formOf(press, slip));
  if (!form || !answer) return;
  form.closest(".slip-student").querySelector("[data-desk-said]").textContent = "";
  inPlace(form, answer);
}

function swapSlip(old, fresh, press) {
  const typed = typedIn(old, press);
  const opened = [...old.querySelectorAll("details")].map((each) => each.open);
  inPlace(old, fresh);
  fresh.querySelectorAll("details").forEach((each, nth) => {
    each.open ||= Boolean(opened[nth]) && !each.querySelector(".tag:not(.tag-strong)");
  });
  for (const [id, text] of typed) {
    const field = document.getElementById(id);
    if (!field) continue;
    field.value = text;
    field.closest("details").open = true;
    keepTyped(field);
  }
}

/** Put one element in another's place; whoever was at a button of it stays at that button. */
function inPlace(old, fresh) {
  const stops = (part) => [...part.querySelectorAll("a, button, textarea, summary")];
  const at = stops(old).indexOf(document.activeElement);
  old.replaceWith(document.adoptNode(fresh));
  if (at >= 0) stops(fresh)[at]?.focus({ preventScroll: true });
}

/** What was typed in the slip's notes and not pressed, be it since the press that is answered. */
function typedIn(slip, press) {
  const known = (field) =>
    aboutOf(field.form) === press.about ? press.result : field.defaultValue;
  return [...slip.querySelectorAll("form[data-desk=note] textarea")]
    .filter((field) => field.value !== known(field))
    .map((field) => [field.id, field.value]);
}

/** Say at the top what waits and has no slip on this page, or will never be done. */
function showElsewhere() {
  const others = queue.waiting(user()).filter((press) => press.stuck || !formOf(press));
  box.hidden = !others.length;
  for (const row of box.querySelectorAll("p")) row.remove();
  box.append(...others.map(elsewhere));
}

function elsewhere(press) {
  const row = document.createElement("p");
  const link = document.createElement("a");
  link.href = `/lessons/${press.path.match(/^\/lessons\/(\d+)\//)?.[1]}/`;
  link.textContent = press.path.includes("/notes/") ? "A note" : "A mark";
  row.append(link, ` is kept on this ${HERE}. `);
  row.append(press.stuck ? `${press.stuck} ` : "It goes when there is a connection.");
  if (press.stuck) {
    if (press.path.includes("/notes/")) row.append(`It reads: “${press.result}” `);
    const button = document.createElement("button");
    button.type = "button";
    button.className = "press-quiet";
    button.textContent = "Let go of it";
    button.addEventListener("click", () => {
      queue.letGo(press.key);
      showElsewhere();
    });
    row.append(button);
  }
  return row;
}

// --- sending -------------------------------------------------------------------------------------
let isSending = false;
// Somebody must sign in or open the page again: asking by the clock would not help.
let isHeld = false;

/** Send what waits, oldest first, until the studio does not answer. */
async function flush() {
  if (isSending) return;
  isSending = true;
  isHeld = false;
  try {
    for (let press = next(); press; press = next()) {
      if (!(await deliver(press))) break;
    }
  } finally {
    isSending = false;
    showElsewhere();
  }
}

const next = () => queue.waiting(user()).find((press) => !press.stuck);

/** @returns {Promise<boolean>} whether it is worth going on */
async function deliver(press) {
  const { became, html, signIn } = await sent(press);
  if (became in WORDS) {
    isHeld = became !== "away";
    for (const each of queue.waiting(user())) {
      if (!each.stuck) say(each, WORDS[became], signIn && signInLink(signIn));
    }
    return false;
  }
  if (became === "gone") {
    queue.stick(press.key, GONE);
    say(press, GONE);
    return true;
  }
  settle(press, became, html);
  return true;
}

async function sent(press) {
  const back = document.getElementById(press.slip)?.dataset.deskBack;
  const pairs = press.pairs.map(([name, text]) => [name, name === "back" ? back ?? text : text]);
  const answer = await queue.send({ ...press, pairs }, token);
  if (answer.became !== "stale") return answer;
  const fresh = await queue.freshToken();
  if (!fresh) return answer;
  token = fresh;
  return queue.send({ ...press, pairs }, token);
}

/** The studio has answered. A newer mark is shown over the answer; notes keep what is typed. */
function settle(press, became, html) {
  queue.letGo(press.key);
  const isNote = press.path.includes("/notes/");
  if (became === "refused" && isNote) {
    queue.keepDraft(user(), press.path, { text: press.result, seen: press.seen[0] });
  }
  const isShown = swap(press, html);
  for (const each of queue.waiting(user())) {
    const form = each.slip === press.slip ? formOf(each) : null;
    if (form?.dataset.desk === "mark") show(each, form);
  }
  const words = "was changed elsewhere, so it was not put in: open the lesson and look.";
  if (became === "refused" && !isShown) {
    queue.keep(press);
    queue.stick(press.key, `It ${words}`);
  }
}

// --- typing --------------------------------------------------------------------------------------
document.addEventListener("input", (event) => {
  if (event.target.form?.dataset.desk === "note") keepTyped(event.target);
});

/** @param {HTMLTextAreaElement} field */
function keepTyped(field) {
  const seen = field.form.dataset.deskSeen;
  const isNew = field.value !== seen;
  queue.keepDraft(user(), path(field.form), isNew ? { text: field.value, seen } : null);
}

// --- coming back ---------------------------------------------------------------------------------
/** Show on a page that was just opened what is kept from before. */
function restore() {
  for (const press of queue.waiting(user())) {
    const form = formOf(press);
    if (form && !press.stuck) {
      show(press, form);
      say(press, WORDS.away);
    }
  }
  // A draft is newer than any press: a press takes it along.
  for (const form of document.querySelectorAll("form[data-desk=note]")) {
    const kept = queue.draft(user(), path(form));
    if (!kept || kept.text === form.dataset.deskSeen) continue;
    form.elements.body.value = kept.text;
    // What stood there when it was typed: the studio then sees if somebody wrote meanwhile.
    form.dataset.deskSeen = kept.seen;
    form.closest("details").open = true;
    const said = form.closest(".slip-student").querySelector("[data-desk-said]");
    said.textContent = `What you typed here before is kept on this ${HERE}; it is not sent yet.`;
  }
}

if (user()) {
  restore();
  flush();
  addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => document.hidden || flush());
  setInterval(() => next() && !isHeld && flush(), AGAIN_MS);
}

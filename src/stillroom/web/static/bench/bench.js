// The bench pages with a script: what is typed is kept, entries wait for the laptop, a step shows one thing at a time.
// Every page reads and works without it; nothing here needs more than plain http allows.

import { added, iso, now, setClock, startCounting, wall } from "./clocks.js";
import { bookOf, everyField, fieldsOf, fill, forget, keepAs, keepDrafts, markSent } from "./drafts.js";
import { partly } from "./parts.js";
import { add, heard, rememberPin, start, waiting } from "./queue.js";
import { watchScales } from "./scale.js";
import { countTaps } from "./taps.js";
import { openTray } from "./tray.js";
import { say } from "./words.js";

const bench = document.querySelector(".bench[data-now]");
const main = document.querySelector("main");
const told = document.querySelector("[data-now]");
if (told) setClock(told.dataset.now);
startCounting();

const cards = bench ? gather() : [];
let at = 0;
const tray = openTray(main, { takenBack, reopen });

function gather() {
  const first = { section: bench.querySelector(".bench-step") };
  const later = [...bench.querySelectorAll(":scope > template")].map((one) => ({
    section: one.content.firstElementChild,
  }));
  return [first, ...later];
}

function dress(card) {
  if (card.form) return;
  card.form = card.section.querySelector("form");
  keepDrafts(card.form);
  card.draw = watchScales(card.form);
  card.parts = partly(card.form);
  card.form.addEventListener("submit", (event) => {
    event.preventDefault();
    write(card);
  });
}

function show(wanted) {
  at = wanted;
  const card = cards[at];
  bench.querySelector(":scope > .bench-step, :scope > .bench-end")?.replaceWith(card ? card.section : ending());
  for (const one of main.querySelectorAll(".clocks .supposed")) one.hidden = one.dataset.step !== card?.section.dataset.step;
  if (!card) return;
  dress(card);
  tellWait(card, cards[at - 1]);
}

function ending() {
  const made = document.createElement("section");
  made.className = "bench-end";
  const words = document.createElement("p");
  words.textContent = say("lastOffline");
  const on = document.createElement("a");
  Object.assign(on, { className: "do", href: bench.dataset.done, textContent: say("goOn") });
  made.append(words, on);
  return made;
}

// What the step just done gives stands or may wait: by the time it was done, whether or not the book has it yet.
function tellWait(card, before) {
  if (!before?.doneAt) return;
  const { standsMin, waitsMin, step } = before.section.dataset;
  const ready = added(before.doneAt, Number(standsMin));
  const lines = [];
  if (Number(standsMin)) lines.push([say("stands", { step, since: wall(before.doneAt), ready: wall(ready, before.doneAt) }), ready, ""]);
  if (waitsMin) {
    const until = added(ready, Number(waitsMin));
    lines.push([say("standsUntil", { step, since: wall(before.doneAt), until: wall(until, before.doneAt) }), until, "last"]);
  }
  card.section.querySelector(".waits").replaceChildren(
    ...lines.map(([words, moment, manner]) => {
      const line = document.createElement("p");
      const left = document.createElement("span");
      left.className = `left ${manner}`;
      left.dataset.until = moment.toISOString();
      line.append(`${words} `, left);
      return line;
    }),
  );
}

function doneAt(form) {
  const own = form.elements.at?.value;
  return own ? new Date(own) : now();
}

// Who signs a form and where it goes; the PIN goes into memory and out of the form.
function signed(form) {
  const by = form.elements.by.value;
  const pin = form.elements.pin?.value || "";
  rememberPin(by, pin);
  if (form.elements.pin) form.elements.pin.value = "";
  return {
    key: form.elements.request_key.value,
    action: form.getAttribute("action"),
    page: location.pathname + location.search,
    draft: form.dataset.draft,
    by,
    needsPin: Boolean(pin),
  };
}

// The second half of a double press falls on the page that took the place of the one pressed: it does nothing there.
const DOUBLE_MS = 600;
const NEAR_PX = 24;
let lastPress = null;
let savedBy = null;
addEventListener(
  "click",
  (event) => {
    const again = savedBy && event.detail && event.timeStamp - savedBy.timeStamp < DOUBLE_MS;
    if (again && Math.hypot(event.clientX - savedBy.clientX, event.clientY - savedBy.clientY) < NEAR_PX) {
      event.preventDefault();
      event.stopPropagation();
      return;
    }
    savedBy = null;
    lastPress = event.detail ? event : null;
  },
  true,
);

function write(card) {
  if (!card.parts.holds()) return;
  savedBy = lastPress;
  const form = card.form;
  card.doneAt = doneAt(form);
  const { step, number } = card.section.dataset;
  const entry = {
    ...signed(form),
    batch: bench.dataset.batch,
    book: bench.dataset.book,
    step,
    number: Number(number),
    title: step,
    fields: fieldsOf(form),
    at: iso(card.doneAt),
  };
  const kept = add(entry, inPhone().find((one) => one.number > entry.number)?.key);
  if (!kept) return tray.tell(say("notKept"));
  forget(form);
  const signer = form.elements.by.value;
  show(nextOpen());
  if (cards[at] && !cards[at].form.elements.by.value) cards[at].form.elements.by.value = signer;
  toTheTop();
}

function toTheTop() {
  main.scrollIntoView({ block: "start", behavior: "instant" });
}

function inPhone() {
  return waiting().filter((one) => one.batch === bench.dataset.batch && one.book === bench.dataset.book);
}

// What waits in this phone is not offered again: the first step that is neither written nor waiting comes first.
function nextOpen() {
  const wait = inPhone();
  const open = cards.findIndex((card) => !card.written && !wait.some((one) => one.step === card.section.dataset.step));
  return open < 0 ? cards.length : open;
}

function indexOf(entry) {
  return cards.findIndex((one) => one.section.dataset.step === entry.step && bench.dataset.batch === entry.batch);
}

function takenBack(entry) {
  const plain = plainForm(entry);
  if (plain) {
    keepAs(entry);
    fill(plain, entry.fields);
    return holdOff(plain, false);
  }
  const wanted = bench ? indexOf(entry) : -1;
  if (wanted < 0) {
    keepAs(entry);
    location.assign(entry.page);
    return;
  }
  show(wanted);
  fill(cards[wanted].form, entry.fields);
  cards[wanted].form.dispatchEvent(new Event("input"));
  toTheTop();
}

// The refused entry's form with what was typed and its sentences; it keeps its place before those that wait.
function reopen(entry) {
  const plain = plainForm(entry);
  if (plain) {
    fill(plain, entry.fields);
    holdOff(plain, false);
    return tellRefused(plain, entry);
  }
  const wanted = bench ? indexOf(entry) : -1;
  if (wanted < 0) return location.assign(entry.page);
  show(wanted);
  const card = cards[wanted];
  fill(card.form, entry.fields);
  card.draw();
  tellRefused(card.form, entry);
  const first = Object.keys(entry.refused.at)[0];
  if (first) card.parts.showFieldOf(first);
}

function tellRefused(form, entry) {
  for (const old of form.querySelectorAll(".error.told")) old.remove();
  for (const [name, sentence] of Object.entries(entry.refused.at)) {
    const field = form.elements[name];
    const box = (field?.length ? field[0] : field)?.closest?.(".field, fieldset");
    if (!box) continue;
    const told = document.createElement("p");
    told.className = "error told";
    told.textContent = `■ ${sentence}`;
    box.append(told);
  }
}

const plainForms = [...document.querySelectorAll("form[data-draft]:not([data-queue])")];

function plainForm(entry) {
  return plainForms.find((one) => one.dataset.draft === entry.draft && bookOf(one) === entry.book);
}

function holdOff(form, off) {
  for (const one of form.querySelectorAll("button[type=submit]")) one.disabled = off;
}

// What waited was written while its page still lay open: the form is done, and the way on takes the button's place.
heard(({ written, answer }) => {
  const card = written && bench && cards[indexOf(written)];
  if (card) card.written = true;
  const form = written && plainForm(written);
  if (!form) return;
  form.reset();
  const on = document.createElement("a");
  Object.assign(on, { className: "do", href: answer.then, textContent: say("goOn") });
  form.querySelector(".doing").replaceChildren(on);
});

const canWait = (form) => form.enctype !== "multipart/form-data" && Boolean(form.elements.by && bookOf(form));

function wait(form) {
  const kept = add({
    ...signed(form),
    batch: "",
    book: bookOf(form),
    title: document.querySelector("h1").textContent.trim(),
    fields: everyField(form),
    at: iso(doneAt(form)),
  });
  if (!kept) return tray.tell(say("notKept"));
  forget(form);
  holdOff(form, true);
  toTheTop();
}

// A plain form is sent the plain way when the laptop answers; else it waits, or stays typed where it carries a file.
// One that was refused while it waited keeps its place before those that wait behind it.
function guard(form) {
  keepDrafts(form);
  form.addEventListener("submit", async (event) => {
    if (form.dataset.going) return;
    event.preventDefault();
    const answers = await fetch("/static/bench/bench.js", { method: "HEAD", cache: "no-store" }).then(
      (found) => found.ok,
      () => false,
    );
    const old = waiting().find((one) => one.draft === form.dataset.draft && one.book === bookOf(form));
    if (canWait(form) && (!answers || old)) return wait(form);
    if (!answers) {
      tray.tell(say("keptTyped"));
      toTheTop();
      return;
    }
    markSent(form);
    form.dataset.going = "yes";
    form.requestSubmit(event.submitter);
  });
}

if (bench) {
  const wait = inPhone();
  for (const one of wait) {
    const found = cards[indexOf(one)];
    if (found) found.doneAt = new Date(one.at);
  }
  show(nextOpen());
  // a refused step opens by itself, unless one before it stands to be written first
  const refused = wait.find((one) => one.refused && indexOf(one) >= 0);
  if (refused && indexOf(refused) < at) reopen(refused);
}
for (const form of plainForms) guard(form);
for (const form of document.querySelectorAll("form[data-tap]")) countTaps(form, tray);
for (const entry of waiting()) {
  const form = plainForm(entry);
  if (!form) continue;
  fill(form, entry.fields);
  if (entry.refused) tellRefused(form, entry);
  else holdOff(form, true);
}
start();

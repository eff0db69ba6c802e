// One big button a siphoning: pressed, it goes into this phone's queue with its time and off to the book at once; the
// verdict is drawn anew when the book has it. Without a connection every tap waits, however many there are.

import { count, iso, now, setClock } from "./clocks.js";
import { bookOf, everyField } from "./drafts.js";
import { add, heard, knowsPin, rememberPin, waiting } from "./queue.js";
import { say } from "./words.js";

const REST_MS = 1500;
const DRAWN = ["#watch-now", "#watch-more", ".also"];

function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join("");
}

function emptied(form) {
  for (const field of form.elements) {
    if (["by", "request_key", "book", "scale", "volume"].includes(field.name) || field.type === "submit") continue;
    field.value = "";
  }
  form.elements.request_key.value = newKey();
  if (form.elements.pin) form.elements.pin.required = !knowsPin(form.elements.by.value) && form.elements.pin.required;
}

async function drawAnew() {
  const text = await fetch(location.href, { headers: { Accept: "text/html" } }).then((found) => (found.ok ? found.text() : ""));
  if (!text) return;
  const fresh = new DOMParser().parseFromString(text, "text/html");
  for (const place of DRAWN) {
    const from = fresh.querySelector(place);
    if (from) document.querySelector(place)?.replaceWith(from);
  }
  for (const heat of document.querySelectorAll("form.tap [name=what]")) {
    if (!fresh.querySelector("form.tap [name=what]")) heat.closest("p").remove();
  }
  const ends = fresh.querySelector("a.do.stop");
  if (ends && !document.querySelector("a.do.stop")) {
    document.querySelector("form.tap").after(ends.closest("p"));
  }
  setClock(fresh.querySelector("[data-now]").dataset.now);
  count();
}

export function countTaps(form, tray) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const pressed = event.submitter;
    const by = form.elements.by.value;
    const pin = form.elements.pin?.value || "";
    rememberPin(by, pin);
    const key = form.elements.request_key.value;
    const fields = everyField(form);
    if (pressed?.name) fields.push([pressed.name, pressed.value]);
    const own = form.elements.at?.value;
    const kept = add({
      key,
      action: pressed?.getAttribute("formaction") || form.getAttribute("action"),
      page: location.pathname,
      draft: `tap ${key}`,
      by,
      needsPin: Boolean(pin) || knowsPin(by),
      batch: "",
      book: bookOf(form),
      title: form.dataset.title,
      fields,
      at: iso(own ? new Date(own) : now()),
      atOnce: true,
    });
    if (!kept) return tray.tell(say("notKept"));
    tray.tell(say("tapped", { time: iso(now()).slice(11, 16) }));
    emptied(form);
    if (pressed) {
      pressed.disabled = true;
      setTimeout(() => (pressed.disabled = false), REST_MS);
    }
  });
  heard(({ written }) => {
    if (written?.draft?.startsWith("tap ") && !waiting().length) drawAnew();
  });
}

// What is typed is kept in this phone as it is typed, and comes back after a reload, a call or a dead battery.
// A PIN is never kept, nor a photograph; the key and the book of a form are the form's own.

const NEVER = new Set(["pin", "request_key", "book"]);
const START = "stillroom draft ";

export const store = {
  works: true,
  get(name) {
    try {
      return JSON.parse(localStorage.getItem(name));
    } catch {
      return null;
    }
  },
  set(name, value) {
    try {
      localStorage.setItem(name, JSON.stringify(value));
      return true;
    } catch {
      this.works = false;
      return false;
    }
  },
  drop(name) {
    try {
      localStorage.removeItem(name);
    } catch {
      this.works = false;
    }
  },
};

export const bookOf = (form) => form.elements.book?.value || form.dataset.book || "";

function nameOf(form) {
  return `${START}${bookOf(form)} ${form.dataset.draft}`;
}

function kept(field) {
  return field.name && !NEVER.has(field.name) && !["file", "password", "hidden", "submit"].includes(field.type);
}

export function fieldsOf(form) {
  const found = [];
  for (const field of form.elements) {
    if (!kept(field)) continue;
    if (["radio", "checkbox"].includes(field.type) && !field.checked) continue;
    found.push([field.name, field.value]);
  }
  return found;
}

// All of a plain form that can wait in the queue: its hidden fields too, which say what it is about.
export function everyField(form) {
  return [...new FormData(form)].filter(([name, value]) => !NEVER.has(name) && typeof value === "string");
}

// A list or a row of choices that no longer offers what was chosen stays on what it offers by itself.
function offered(form, field, value) {
  if (field.tagName === "SELECT") return [...field.options].some((one) => one.value === value);
  if (field.type !== "radio") return true;
  return [...form.elements].some((one) => one.name === field.name && one.value === value && !one.disabled);
}

export function fill(form, fields) {
  const typed = new Map(fields);
  for (const field of form.elements) {
    if (!kept(field) || (typed.has(field.name) && !offered(form, field, typed.get(field.name)))) continue;
    if (["radio", "checkbox"].includes(field.type)) {
      if (!field.disabled && (typed.has(field.name) || field.type === "checkbox")) {
        field.checked = typed.get(field.name) === field.value;
      }
    } else if (typed.has(field.name)) {
      field.value = typed.get(field.name);
    }
    if (field.name === "at" && field.value) field.closest("details")?.setAttribute("open", "");
  }
}

export function forget(form) {
  store.drop(nameOf(form));
}

// A form sent the plain way is empty again once it was written: its draft goes, unless the form came back refused.
export function keepDrafts(form) {
  const draft = store.get(nameOf(form));
  const cameBack = document.querySelector(".trouble, [aria-invalid]") !== null;
  if (draft?.sent && !cameBack) forget(form);
  else if (draft) fill(form, draft.fields);
  const keep = () => store.set(nameOf(form), { fields: fieldsOf(form) });
  form.addEventListener("input", keep);
  form.addEventListener("change", keep);
}

export function keepAs(entry) {
  store.set(`${START}${entry.book} ${entry.draft}`, { fields: entry.fields });
}

export function markSent(form) {
  store.set(nameOf(form), { fields: fieldsOf(form), sent: true });
}

// What the scripts say stands in web/script_words.py, and in the file of each language. Nothing here is shown to a person.

import { LANGUAGES } from "./languages.js";

export function say(name, blanks = {}) {
  const words = LANGUAGES[document.documentElement.lang] || LANGUAGES.en;
  return words[name].replace(/\{(\w+)\}/g, (_, blank) => String(blanks[blank] ?? ""));
}

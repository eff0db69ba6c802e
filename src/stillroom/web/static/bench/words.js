// What the scripts say, one language each; a word in braces is a blank. Nothing else here is shown to a person.

const EN = {
  ready: "ready",
  readyIn: "ready in {left}",
  readySince: "ready for {left}",
  useWithin: "{left} left to use it",
  tooLate: "{left} too late",
  hours: "{hours} h {minutes} min",
  minutes: "{minutes} min",
  next: "Next: {name}",
  back: "Back",
  part: "{at} of {of}",
  toSign: "sign and write",
  heldFor: "{title} is written in {left} s.",
  takeBack: "Take it back",
  writeNow: "Write it now",
  writing: "{title} is being written.",
  takenBack: "{title} was taken back. Nothing was written.",
  oneWaiting: "1 entry waiting",
  manyWaiting: "{count} entries waiting",
  noConnection: "The laptop does not answer. The entries stay in this phone and are sent in order once it does.",
  sendNow: "Send now",
  refused: "{title} could not be written. {says}",
  open: "Open it and put it right",
  throwAway: "Throw this entry away",
  needsPin: "PIN of {by}, for {count} waiting",
  pinIs: "PIN",
  usePin: "Use it",
  notJoined: "The laptop does not know this phone any more. Scan the code on its screen again; the entries stay here.",
  doneAt: "{title} of {batch}, done {time}",
  allWritten: "{says}",
  entry: "Entry {number}",
  toRead: ", to be read or put right",
  waitsHere: "{title} is in this phone and not in the book yet.",
  lastOffline: "Every step that can be done here is done. What comes next needs the laptop.",
  goOn: "Go on",
  stands: "{step} was done {since}: ready {ready}.",
  standsUntil: "{step} was done {since}: use it no later than {until}.",
  notKept: "This phone keeps nothing: its storage is full or closed. Without a connection nothing can be written.",
  keptTyped: "The laptop does not answer. What is typed is kept; try again when it is back.",
};

const LANGUAGES = { en: EN };

export function say(name, blanks = {}) {
  const words = LANGUAGES[document.documentElement.lang] || EN;
  return (words[name] || EN[name]).replace(/\{(\w+)\}/g, (_, blank) => String(blanks[blank] ?? ""));
}

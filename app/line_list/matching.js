// Finding a name: exact first, then those that begin so, then words that begin so, then any part.

const MOST = 8;

function folded(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().replace(/[^\p{L}\p{N}]+/gu, " ").trim();
}

function prepared(names) {
  const found = [];
  names.forEach(([name, group, others]) => {
    const known = { name, group };
    found.push({ known, text: folded(name), other: "" });
    for (const other of others) found.push({ known, text: folded(other), other });
  });
  return found;
}

// Place in the order of matches, the lowest first; undefined where there is none.
function rank(text, typed) {
  if (text === typed) return 0;
  if (text.startsWith(typed)) return 1;
  const padded = ` ${text}`;
  if (typed.split(" ").every((word) => padded.includes(` ${word}`))) return 2;
  return text.includes(typed) ? 3 : undefined;
}

function matches(entries, raw) {
  const typed = folded(raw);
  if (!typed) return [];
  const best = new Map();
  for (const entry of entries) {
    const place = rank(entry.text, typed);
    if (place === undefined) continue;
    const before = best.get(entry.known);
    if (!before || place < before.place) best.set(entry.known, { ...entry, place });
  }
  return [...best.values()]
    .sort((a, b) => a.place - b.place || a.text.length - b.text.length || a.text.localeCompare(b.text))
    .slice(0, MOST);
}

// A block from a spreadsheet or a list: cells apart by tabs, or more than one line.
function isBlock(text) {
  const whole = text.replace(/[\r\n]+$/, "");
  return whole.includes("\t") || /\S[^\n]*\r?\n\s*\S/.test(whole);
}

/**
 * True if the whole of `text` fits `pattern`: `*` stands for any characters, `#` for one digit, anything else for
 * itself in either case. O(pattern.length × text.length).
 */
export function globMatches(pattern: string, text: string): boolean {
  const wanted = pattern.toLowerCase();
  const given = text.toLowerCase();
  let p = 0;
  let t = 0;
  let star = -1;
  let resume = 0;
  while (t < given.length) {
    if (wanted[p] === "*") {
      star = p;
      resume = t;
      p += 1;
    } else if (p < wanted.length && unitMatches(wanted.charAt(p), given.charAt(t))) {
      p += 1;
      t += 1;
    } else if (star >= 0) {
      // The last star takes one character more.
      resume += 1;
      t = resume;
      p = star + 1;
    } else {
      return false;
    }
  }
  while (wanted[p] === "*") p += 1;
  return p === wanted.length;
}

/** True if `text` fits at least one of the patterns. */
export function anyGlobMatches(patterns: readonly string[], text: string): boolean {
  return patterns.some((pattern) => globMatches(pattern, text));
}

function unitMatches(wanted: string, given: string): boolean {
  return wanted === "#" ? given >= "0" && given <= "9" : wanted === given;
}

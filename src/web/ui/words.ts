/** Minutes of work as people say them: `0 min`, `50 s`, `25 min`, `2 h 7 min`. */
export function minutesText(minutes: number): string {
  if (minutes === 0) return "0 min";
  if (minutes < 1) return `${Math.max(5, Math.round((minutes * 60) / 5) * 5)} s`;
  const whole = Math.round(minutes);
  if (whole < 60) return `${whole} min`;
  const rest = whole % 60;
  return rest === 0 ? `${Math.floor(whole / 60)} h` : `${Math.floor(whole / 60)} h ${rest} min`;
}

/** A moment as the clock on the wall shows it, with the day if it is not today. */
export function momentText(moment: string, now: Date): string {
  const at = new Date(moment);
  if (Number.isNaN(at.getTime())) return moment;
  const clock = `${two(at.getHours())}:${two(at.getMinutes())}`;
  return at.toDateString() === now.toDateString() ? clock : `${dayText(at)}, ${clock}`;
}

/** The day of a moment, as `2026-03-01`. */
export function dayText(at: Date): string {
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** What an instrument is called. */
export const instrumentNames: Readonly<Record<string, string>> = {
  multimeter: "multimeter",
  "logic-probe": "logic probe",
  oscilloscope: "oscilloscope",
  thermometer: "thermometer",
  finger: "your finger",
  eye: "your eyes",
  twin: "a good twin machine",
  "chip-tester": "chip tester",
  "test-program": "test program",
  "bench-supply": "bench supply",
  "chip-programmer": "chip programmer",
};

/** A text with its first letter in upper case. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Words joined as in a sentence: `a`, `a and b`, `a, b and c`. */
export function listText(words: readonly string[]): string {
  const last = words.at(-1) ?? "";
  return words.length < 2 ? last : `${words.slice(0, -1).join(", ")} and ${last}`;
}

function two(number: number): string {
  return String(number).padStart(2, "0");
}

import { capital } from "../ui/words.js";

const verbs: Readonly<Record<string, string>> = {
  "logic-probe": "Touch",
  oscilloscope: "Watch",
  rail: "Measure",
  "rail-at": "Measure",
  symptom: "Look at",
};

/**
 * A step of the plan's own path in words. The path names steps by their id, with the place behind it where the id does
 * not hold it: `logic-probe:/WAIT at U17.11`, `replace:U13`. What has no such form stays as it is.
 */
export function plannedStepText(step: string): string {
  const found = /^([a-z-]+):(.+?)(?: at (\S+))?$/.exec(step);
  if (found === null) return step;
  const [, kind = "", what = "", place] = found;
  const verb = verbs[kind] ?? capital(kind.replaceAll("-", " "));
  return place === undefined || place === what ? `${verb} ${what}` : `${verb} ${place}, line ${what}`;
}

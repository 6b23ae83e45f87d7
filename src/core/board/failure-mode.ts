import { z } from "zod";

/**
 * Every way in which a part, a contact or a track can be bad, with its meaning in one line.
 * The ids are used by the data files, the log and the find engine alike.
 */
export const failureModes = {
  "output-stuck-low": "An output pin stays low whatever the inputs ask for.",
  "output-stuck-high": "An output pin stays high whatever the inputs ask for.",
  "output-open": "An output pin no longer drives its line.",
  "input-open": "An input pin no longer sees its line.",
  "input-drags": "An input, or an idle memory pin, pulls its line down although something else drives it.",
  "supply-open": "A supply or ground pin makes no contact inside the part.",
  shorted: "The part shorts its supply: it runs hot and drags the rail down.",
  "data-bit-lost": "A memory cell or one data bit is read wrong.",
  "address-fault": "The decoding inside the part picks the wrong or several places.",
  "wrong-content": "Bits of the stored program or table have changed.",
  slow: "Right when cold, too slow when warm.",
  "improper-output": "The part lives but does wrong things.",
  "no-output": "The part is dead: nothing comes out of it.",
  "parameter-change": "The value has drifted out of its tolerance.",
  leaks: "A capacitor passes direct current or has spilt its electrolyte.",
  "dried-out": "A capacitor has lost value and gained series resistance.",
  open: "A two-terminal part or a junction no longer conducts.",
  short: "A two-terminal part or a junction conducts where it should not.",
  "no-oscillation": "A crystal or oscillator does not start.",
  "off-frequency": "A crystal or oscillator runs at the wrong rate.",
  "output-low": "A supply gives too low a voltage.",
  "output-high": "A supply gives too high a voltage, which can destroy what it feeds.",
  rippled: "A supply gives the right average voltage with too much ripple on it.",
  "contact-open": "A contact does not close.",
  "contact-intermittent": "A contact comes and goes with movement, warmth or time.",
  "contact-short": "A contact touches its neighbour, or does not part.",
  "track-open": "A track, a plated hole or a solder joint is interrupted.",
  bridge: "Solder, dirt or a whisker joins neighbouring pins or tracks.",
  "stuck-key": "A key counts as held down.",
  "dead-key-line": "A line of the key matrix is interrupted: a row or column of keys is dead.",
  "wrong-part": "The part fitted is of the wrong type or value, or sits the wrong way round.",
} as const satisfies Record<string, string>;

export type FailureModeId = keyof typeof failureModes;

/** The ids in the order of {@link failureModes}. */
export const failureModeIds = Object.keys(failureModes).filter(isFailureModeId);

/** A failure-mode id; unknown ids are rejected. */
export const failureModeIdSchema = z.enum(failureModeIds);

/** How a fault shows over time: always, only when the machine is warm, or now and then. */
export const manifestations = ["permanent", "warm-only", "intermittent"] as const;

export type Manifestation = (typeof manifestations)[number];

/** True if `name` is one of the ids. */
export function isFailureModeId(name: string): name is FailureModeId {
  return Object.hasOwn(failureModes, name);
}

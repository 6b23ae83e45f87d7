/** Work on a deck in steps. */
export const careTasks = ["clean", "demagnetise", "belt", "speed", "azimuth"] as const;
export type CareTask = (typeof careTasks)[number];

/** One step; a caution stands before what it warns of. */
export interface CareStep {
  readonly caution?: string;
  readonly text: string;
}

/** The steps of a task, in order. Common practice, no source, but for the flash point of isopropyl alcohol (NIOSH). */
export interface CareList {
  readonly title: string;
  readonly steps: readonly CareStep[];
}

const unplugged: CareStep = {
  caution:
    "Mains voltage stays in a deck that is only switched off. Capacitors of the supply stay charged for a while.",
  text: "Unplug the deck from the mains, or take the batteries out, and wait before opening it.",
};

const lists: Readonly<Record<CareTask, CareList>> = {
  clean: {
    title: "Clean heads, capstan and pinch roller",
    steps: [
      unplugged,
      {
        caution:
          "Isopropyl alcohol burns, and its vapour lights at 12 °C and above. No flame, no powered deck, an open window, little of it at a time.",
        text: "Wipe both heads and the tape guides with a lint-free swab and isopropyl alcohol until the swab stays clean.",
      },
      {
        caution:
          "Alcohol hardens some rubbers. Use water with a drop of washing-up liquid if the roller feels tacky afterwards.",
        text: "Clean the capstan along its whole length, and the pinch roller while turning it by hand.",
      },
      { text: "Look at the roller: a shine, a groove or cracks mean a new one." },
      { text: "Let everything dry for five minutes before power comes back." },
    ],
  },
  demagnetise: {
    title: "Demagnetise heads and guides",
    steps: [
      {
        caution: "The field erases tapes and spoils meters and picture tubes. Keep cassettes a metre away.",
        text: "Switch the deck off and take the cassette out.",
      },
      {
        caution: "People with a pacemaker must not use or stand near a demagnetiser.",
        text: "Switch the demagnetiser on at an arm's length from the deck.",
      },
      {
        caution:
          "Switching it on or off near a head magnetises the head for good. A bare tip scratches it: cover it with tape.",
        text: "Bring it near slowly, pass each head, the capstan and the guides once, and draw it away slowly to an arm's length.",
      },
      { text: "Switch it off there." },
    ],
  },
  belt: {
    title: "Change the belt",
    steps: [
      unplugged,
      {
        caution: "An old belt may have turned to tar, which stains skin and everything else. Wear gloves.",
        text: "Draw the path of the belt, then take the belt off; keep it if it still has a length.",
      },
      {
        text: "Clean all pulleys with isopropyl alcohol until nothing black comes off; the cautions of cleaning hold.",
      },
      {
        caution: "Fingers leave grease, and grease slips.",
        text: "Lay the new belt with a clean tool, without a twist, in the groove that the old one ran in.",
      },
      { text: "Turn the flywheel by hand for some turns, then measure speed and flutter again." },
    ],
  },
  speed: {
    title: "Set the speed",
    steps: [
      { text: "Clean first, and let the deck run for half an hour: a cold motor and cold grease are slow." },
      { text: "Play a speed tape that was made elsewhere, in its middle." },
      {
        caution:
          "The deck is open and powered: keep the other hand away, do not touch the mains side, use an insulated tool. Moving wheels catch hair and sleeves.",
        text: "Turn the trimmer, often inside a hole of the motor, by very little and wait for the reading to settle.",
      },
      { text: "Check at the beginning and the end of a reel." },
    ],
  },
  azimuth: {
    title: "Set the azimuth",
    steps: [
      { text: "Clean first; mark where the screw stands with a drop of paint beside it, and count turns." },
      {
        caution: "A steel screwdriver may be magnetic. Use one that is not, and never press on the head.",
        text: "Play a tone of about 3 kHz and turn the screw beside the head for the highest level, less than half a turn.",
      },
      {
        text: "Go on with 6.3 or 10 kHz: there are false peaks beside the true one, so stay close to the first setting.",
      },
      { text: "On a stereo head bring both channels in step, then lock the screw with paint." },
      { text: "A head set for one old tape is wrong for others: note the first setting and go back to it." },
    ],
  },
};

/** The steps of a task. */
export function careSteps(task: CareTask): CareList {
  return lists[task];
}

import type { ReactNode } from "react";

const drawings = {
  plus: "M12 5v14M5 12h14",
  minus: "M5 12h14",
  whole: "M4 9V4h5M15 4h5v5M20 15v5h-5M9 20H4v-5",
  probe: "M12 3v5M12 16v5M3 12h5M16 12h5M12 9.5a2.5 2.5 0 1 0 .01 0",
  turn: "M7 7l-4 4 4 4M3 11h18M17 17l4-4-4-4",
  undo: "M9 6L4 11l5 5M4 11h9a6 6 0 0 1 6 6v2",
  back: "M14 5l-7 7 7 7",
  sun: "M12 8a4 4 0 1 0 .01 0M12 2v2M12 20v2M2 12h2M20 12h2M5 5l1.4 1.4M17.6 17.6L19 19M5 19l1.4-1.4M17.6 6.4L19 5",
  moon: "M20 14A8.5 8.5 0 0 1 10 4a8 8 0 1 0 10 10z",
  device: "M4 5h16v11H4zM9 20h6M12 16v4",
  warning: "M12 4L2.5 20h19zM12 10v5M12 17.5v.5",
  check: "M5 12.5l4.5 4.5L19 7",
  cross: "M6 6l12 12M18 6L6 18",
  send: "M5 12h13M12 6l6 6-6 6",
  clock: "M12 4a8 8 0 1 0 .01 0M12 8v4.5l3 2",
  cup: "M4 20V8l8-4 8 4v12zM4 12h16",
  gear: "M12 9a3 3 0 1 0 .01 0M12 3v3M12 18v3M3 12h3M18 12h3M5.6 5.6l2.2 2.2M16.2 16.2l2.2 2.2M5.6 18.4l2.2-2.2M16.2 7.8l2.2-2.2",
  link: "M5 12a7 7 0 0 1 14 0M8.5 13a3.5 3.5 0 0 1 7 0M12 16v.5",
} as const;

/** Name of a drawing. */
export type IconName = keyof typeof drawings;

/** A small line drawing beside words that say the same, or in a button that has a name of its own. */
export function Icon({ name }: { readonly name: IconName }): ReactNode {
  return (
    <svg className="icon" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={drawings[name]} />
    </svg>
  );
}

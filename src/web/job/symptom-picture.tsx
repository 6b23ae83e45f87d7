import type { ReactNode } from "react";

/** Inner drawing of a 64 by 48 picture tube for what it may show. */
const screens: Readonly<Record<string, ReactNode>> = {
  "picture-normal": <path d="M14 14h22M14 21h30M14 28h12M14 35h4" className="p-line" />,
  "no-picture": <path d="M20 15l24 18M44 15L20 33" className="p-faint" />,
  "picture-torn": <path d="M8 14h28l8 5H20l-6 5h34l6 5H16l-8 6h40" className="p-line" />,
  "blank-in-border": <rect x={15} y={12} width={34} height={24} className="p-fill" />,
  "blank-screen": <rect x={6} y={6} width={52} height={36} className="p-fill" />,
  "random-characters": (
    <path
      d="M10 11h3v4M18 10l4 5M28 10h5v5h-5zM38 12h6M48 10v6M11 20l4 4v-4M22 20v5M29 21h6M40 19l-3 6M46 21h5v4M10 31h5M19 29v6h4M29 30l5 5M40 29v6M46 31h6M13 38h3M25 39h6M38 38h3"
      className="p-line"
    />
  ),
  pattern: <path d="M12 7v34M20 7v34M28 7v34M36 7v34M44 7v34M52 7v34" className="p-wide" />,
  "wrong-characters": (
    <path d="M13 14h8M25 14l4 6M33 17h10M13 27h5M22 24v6M27 27h8M13 36h4" className="p-line" />
  ),
  "border-wrong": <path d="M6 6h20v36M20 16h24M20 24h18M20 32h22" className="p-line" />,
  "stops-after-start": <path d="M14 14h20M14 21h12M14 28v5" className="p-line" />,
};

const others: Readonly<Record<string, string>> = {
  sound: "M18 19h8l10-9v28l-10-9h-8zM42 17c4 4 4 10 0 14M47 12c7 7 7 17 0 24",
  keys: "M8 15h48v20H8zM14 21h4M23 21h4M32 21h4M41 21h4M50 21h0M18 28h28",
  reaction: "M10 33h44v7H10zM32 8v15M25 16l7 8 7-8",
  "memory-figure": "M14 12h36v24H14zM20 24h8M36 19v10M42 19v10M10 18h4M10 30h4M50 18h4M50 30h4",
  tape: "M7 12h50v25H7zM21 22a5 5 0 1 0 .1 0M43 22a5 5 0 1 0 .1 0M21 32h22",
  lamp: "M32 9a10 10 0 0 1 5 18v5H27v-5a10 10 0 0 1 5-18M28 37h8M32 2v3M14 19h4M46 19h4M19 7l3 3M45 7l-3 3",
  whole: "M10 8h44v26H10zM6 40h52M24 34v6M40 34v6",
};

const crossed = /^(no-|.*-dead$|.*-fails$|.*-off$|dead$|.*small$)/;

/** A small picture of what the machine does; the words stand beside it. */
export function SymptomPicture({ id, group }: { readonly id: string; readonly group: string }): ReactNode {
  const screen = screens[id];
  return (
    <svg className="symptom-picture" viewBox="0 0 64 48" aria-hidden="true" focusable="false">
      {screen === undefined ? (
        <>
          <path d={others[group] ?? others["whole"]} className="p-line" />
          {crossed.test(id) && <path d="M8 42L56 6" className="p-cross" />}
        </>
      ) : (
        <>
          <rect x={3} y={3} width={58} height={42} rx={7} className="p-tube" />
          {screen}
        </>
      )}
    </svg>
  );
}

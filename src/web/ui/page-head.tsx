import type { ReactNode } from "react";
import { linkState } from "../net/live.js";
import { outbox } from "../net/outbox.js";
import { themeChoice } from "../state/keepsakes.js";
import { addressOf, type Route } from "../state/route.js";
import { useStore } from "../state/store.js";
import { Icon } from "./icon.jsx";

const nextTheme = { device: "light", light: "dark", dark: "device" } as const;
const themeIcons = { device: "device", light: "sun", dark: "moon" } as const;
const themeNames = { device: "as the device", light: "light", dark: "dark" } as const;

/** The head of every page: where one is, the link to the program, and the way out. */
export function PageHead({
  title,
  below,
  back,
  children,
}: {
  readonly title: string;
  readonly below?: string;
  /** Where the arrow leads; the list of jobs if absent. `nowhere`: there is none, this is where all begins. */
  readonly back?: Route | "nowhere";
  readonly children?: ReactNode;
}): ReactNode {
  const theme = useStore(themeChoice);
  return (
    <header className="head">
      {back === "nowhere" ? (
        <Mark />
      ) : (
        <a
          className="head-back"
          href={addressOf(back ?? { page: "jobs" })}
          aria-label={back === undefined ? "All jobs" : "Back"}
        >
          <Icon name="back" />
        </a>
      )}
      <div className="head-words">
        <p className="head-title">{title}</p>
        {below !== undefined && <p className="head-below">{below}</p>}
      </div>
      <Link />
      <div className="head-tools">
        {children}
        <button
          type="button"
          className="tool"
          onClick={() => themeChoice.set(nextTheme[theme])}
          aria-label={`Light or dark: ${themeNames[theme]}`}
          title={`Light or dark: ${themeNames[theme]}`}
        >
          <Icon name={themeIcons[theme]} />
        </button>
        <a className="tool" href={addressOf({ page: "settings" })} aria-label="Keys, devices and settings">
          <Icon name="gear" />
        </a>
      </div>
    </header>
  );
}

function Mark(): ReactNode {
  return (
    <svg className="mark" viewBox="0 0 32 32" aria-hidden="true" focusable="false">
      <path className="mark-legs" d="M9 9H4M9 16H4M9 23H4M23 9h5M23 23h5" />
      <rect className="mark-body" x={9} y={3} width={14} height={26} rx={2} />
      <path className="mark-notch" d="M13 3a3 3 0 0 0 6 0z" />
      <circle className="mark-probe" cx={27} cy={16} r={4} />
    </svg>
  );
}

function Link(): ReactNode {
  const link = useStore(linkState);
  const unsent = useStore(outbox).filter((item) => item.refused === undefined).length;
  const entries = unsent === 1 ? "1 entry waits here" : `${unsent} entries wait here`;
  const words =
    link === "live"
      ? unsent === 0
        ? "in step"
        : "sending"
      : link === "lost"
        ? unsent === 0
          ? "no answer from the program"
          : `no answer, ${entries}`
        : "connecting";
  return (
    <p className="link" data-link={link} role="status">
      <span className="link-mark" aria-hidden="true" />
      {words}
    </p>
  );
}

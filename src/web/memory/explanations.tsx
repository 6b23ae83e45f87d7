import { type ReactNode, useState } from "react";
import type { MemoryAnswer } from "../../app/api/memory.js";
import { percentText } from "../../core/draw/suspicion.js";
import type { PictureFault } from "../../core/memory/picture/picture-fault.js";
import { addressOf } from "../state/route.js";

const shownAtFirst = 4;

/** What explains the failing addresses, the best first, each with its parts. */
export function Explanations({
  job,
  answer,
  onSee,
}: {
  readonly job: string;
  readonly answer: MemoryAnswer;
  /** Absent where the board's picture cannot be drawn. */
  readonly onSee: ((fault: PictureFault) => void) | undefined;
}): ReactNode {
  const [all, setAll] = useState(false);
  const { explanations, addresses, cells, assumptions } = answer;
  const shown = all ? explanations : explanations.slice(0, shownAtFirst);
  return (
    <div className="explained">
      <h3>
        {cells} failing {cells === 1 ? "cell" : "cells"} at {addresses}{" "}
        {addresses === 1 ? "address" : "addresses"}
      </h3>
      <ol className="explained-list">
        {shown.map(({ title, share, parts, explained, good, picture }) => (
          <li key={title} className="explained-one">
            <strong className="explained-share">{percentText(share)}</strong>
            <div className="explained-words">
              <p className="explained-title">{title}</p>
              <p className="quiet">
                {explained === cells ? "Explains all of them" : `Explains ${explained} of ${cells}`}
                {good === 0 ? "" : `; ${good} cells it would spoil were good`}.
              </p>
              <ul className="explained-parts">
                {parts.map(({ part, pins, why, failureMode }) => (
                  <li key={`${part} ${failureMode}`}>
                    <a href={addressOf({ page: "part", job, ref: part })} className="place">
                      {part}
                    </a>{" "}
                    {pins.length === 0 ? "" : `pin ${pins.join(", ")}: `}
                    {why}
                  </li>
                ))}
              </ul>
            </div>
            {picture !== null && onSee !== undefined && (
              <button
                type="button"
                className="plain-button"
                onClick={() => onSee(picture)}
                aria-label={`What would I see: ${title}`}
              >
                What would I see?
              </button>
            )}
          </li>
        ))}
      </ol>
      {explanations.length > shownAtFirst && (
        <button type="button" className="plain-button" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? "Show the best four" : `Show all ${explanations.length}`}
        </button>
      )}
      <ul className="quiet explained-notes">
        {assumptions.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
    </div>
  );
}

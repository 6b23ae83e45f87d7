import { type ReactNode, useEffect, useState } from "react";
import type { MemoryMeans, PictureAnswer, PictureAsk } from "../../app/api/memory.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import type { ScreenPicture } from "../../core/draw/memory-picture.js";
import type { PictureFault } from "../../core/memory/picture/picture-fault.js";
import { problemOf } from "../net/load.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { FaultChoice } from "./fault-choice.jsx";
import { memoryApi } from "./memory-api.js";
import { dotsOf, Screen, wordsOf } from "./screen.jsx";
import { SeenForm } from "./seen-form.jsx";

type Means = NonNullable<MemoryMeans["picture"]>;
type Content = PictureAsk["content"];

const contentWords: Readonly<Record<Content, string>> = {
  blank: "cleared by the program",
  zeros: "all bits low",
  ones: "all bits high",
  "start-up": "as it wakes up, nothing written",
  counting: "another word in each place",
};

/** What the screen would show with a fault, beside what is seen on it. */
export function ScreenDesk({
  job,
  means,
  closed,
  chosen,
}: {
  readonly job: string;
  readonly means: MemoryMeans;
  readonly closed: boolean;
  /** A fault chosen elsewhere on the page. */
  readonly chosen: PictureFault | null;
}): ReactNode {
  const { picture } = means;
  return (
    <section className="stage" aria-labelledby="screen-title">
      <h2 id="screen-title" tabIndex={-1}>
        What would I see?
      </h2>
      {picture === null ? (
        <p>
          {means.problems.at(-1) ?? "The board does not say how its picture lies in memory."} So its screen
          cannot be drawn.
        </p>
      ) : (
        <Desk job={job} picture={picture} closed={closed} chosen={chosen} />
      )}
    </section>
  );
}

function Desk({
  job,
  picture,
  closed,
  chosen,
}: {
  readonly job: string;
  readonly picture: Means;
  readonly closed: boolean;
  readonly chosen: PictureFault | null;
}): ReactNode {
  const [fault, setFault] = useState<PictureFault | null>(chosen ?? firstFault(picture));
  const [content, setContent] = useState<Content>(picture.kind === "characters" ? "blank" : "zeros");
  const [good, setGood] = useState(false);
  const [answer, setAnswer] = useState<PictureAnswer | null>(null);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const choose = (next: PictureFault, on?: Content): void => {
    setFault(next);
    setGood(false);
    setContent((now) => on ?? fittingContent(next, picture, now));
  };
  // biome-ignore lint/correctness/useExhaustiveDependencies: only a new choice elsewhere takes over
  useEffect(() => {
    if (chosen !== null) choose(chosen);
  }, [chosen]);
  useEffect(() => {
    if (fault === null) return;
    let wanted = true;
    memoryApi.picture(job, { fault, content }).then(
      (next) => {
        if (!wanted) return;
        setAnswer(next);
        setProblem(null);
      },
      (cause: unknown) => {
        if (wanted) setProblem(problemOf(cause));
      },
    );
    return () => {
      wanted = false;
    };
  }, [job, fault, content]);
  if (fault === null) return <p>No fault of this memory can be drawn.</p>;
  const contents = (Object.keys(contentWords) as Content[]).filter(
    (one) => one !== "blank" || picture.kind === "characters",
  );
  return (
    <div className="screens">
      <div className="screens-side">
        <h3>If this is the fault</h3>
        <FaultChoice faults={picture.faults} fault={fault} onChoose={choose} />
        <label className="field">
          On the screen before
          <select value={content} onChange={(event) => setContent(contentOf(event.target.value))}>
            {contents.map((one) => (
              <option key={one} value={one}>
                {contentWords[one]}
              </option>
            ))}
          </select>
        </label>
        {problem !== null && <ProblemNote problem={problem} />}
        {answer === null && problem === null && <Waiting what="The screen is being drawn" />}
        {answer !== null && (
          <>
            <Screen
              title={good ? "Without the fault" : "With the fault"}
              says={good ? "This is how it should look." : answer.look}
              picture={pictureOf(answer, good ? answer.good : answer.shown, picture)}
            />
            <button type="button" className="plain-button" aria-pressed={good} onClick={() => setGood(!good)}>
              Show it without the fault
            </button>
          </>
        )}
      </div>
      <div className="screens-side">
        <h3>What I see</h3>
        <SeenForm job={job} picture={picture} closed={closed} onDraw={choose} />
      </div>
    </div>
  );
}

/** A fault that shows on a dark screen and on blanks. */
function firstFault({ faults }: Means): PictureFault | null {
  const shown = faults.find(({ fault }) => fault.kind === "bits-stuck" && fault.level === 1);
  return (shown ?? faults[0])?.fault ?? null;
}

function contentOf(value: string): Content {
  return (Object.keys(contentWords) as Content[]).find((one) => one === value) ?? "zeros";
}

/** What shows a fault best: a stuck level on the opposite one, a wrong place on words that differ. */
function fittingContent(fault: PictureFault, { kind }: Means, now: Content): Content {
  if (kind === "characters") return fault.kind === "bits-stuck" ? "blank" : now;
  if (fault.kind === "bits-stuck" || fault.kind === "cells") return fault.level === 1 ? "zeros" : "ones";
  if (fault.kind === "address-line" && fault.side === "processor") return "zeros";
  return fault.kind === "forgets" || fault.kind === "not-written" ? "zeros" : "counting";
}

function pictureOf({ kind, width }: PictureAnswer, hex: string, means: Means): ScreenPicture {
  if (kind === "dots") return { kind, width, dots: dotsOf(hex) };
  return { kind, columns: width, words: wordsOf(hex), inverseBit: means.inverseBit ?? undefined };
}

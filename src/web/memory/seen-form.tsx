import { type FormEvent, type ReactNode, useState } from "react";
import type { MemoryMeans, PictureAsk, Seen, SeenAnswer } from "../../app/api/memory.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import type { PictureFault } from "../../core/memory/picture/picture-fault.js";
import { problemOf } from "../net/load.js";
import { announce } from "../state/announcer.js";
import { record } from "../state/job-state.js";
import { goTo } from "../state/navigation.js";
import { addressOf } from "../state/route.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { memoryApi } from "./memory-api.js";
import { codeOf, type Pair, PairFields } from "./pair-fields.jsx";
import { Screen } from "./screen.jsx";
import { StripeFields, type Stripes, stripesPicture, stripesText } from "./stripe-fields.jsx";

type Means = NonNullable<MemoryMeans["picture"]>;

/** What is seen on the screen, and the faults that would make it. */
export function SeenForm({
  job,
  picture,
  closed,
  onDraw,
}: {
  readonly job: string;
  readonly picture: Means;
  readonly closed: boolean;
  readonly onDraw: (fault: PictureFault, on: PictureAsk["content"]) => void;
}): ReactNode {
  const isText = picture.kind === "characters";
  const [kind, setKind] = useState<Seen["kind"]>(isText ? "characters" : "stripes");
  const [stripes, setStripes] = useState<Stripes>({
    direction: "upright",
    every: picture.dotsAcross,
    at: 1,
    wide: 1,
    becomes: "lit",
  });
  const [pairs, setPairs] = useState<readonly Pair[]>([{ number: 1, right: "", wrong: "" }]);
  const [answer, setAnswer] = useState<SeenAnswer | null>(null);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const codes = pairs.map(({ right, wrong }) => ({ right: codeOf(right), wrong: codeOf(wrong) }));
  const known = codes.flatMap(({ right, wrong }) =>
    right === undefined || wrong === undefined ? [] : [{ right, wrong }],
  );
  const ask = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setProblem(null);
    try {
      const seen: Seen = kind === "stripes" ? { kind, ...stripes } : { kind, pairs: known };
      const next = await memoryApi.seen(job, seen);
      setAnswer(next);
      const [first] = next.matches;
      announce(
        first === undefined ? "No memory fault makes this." : `${next.matches.length} found: ${first.title}.`,
      );
    } catch (cause) {
      setAnswer(null);
      setProblem(problemOf(cause));
    }
  };
  const addPairs = (): void => {
    for (const { right, wrong } of known)
      record(
        job,
        { kind: "characters", right: codeText(right), wrong: codeText(wrong) },
        `Character ${codeText(wrong)} where ${codeText(right)} should stand`,
      );
    goTo({ page: "job", job });
  };
  return (
    <form className="seen" onSubmit={(event) => void ask(event)}>
      {isText && (
        <div className="tiles">
          {(["characters", "stripes"] as const).map((one) => (
            <button
              key={one}
              type="button"
              className="tile"
              aria-pressed={kind === one}
              onClick={() => {
                setKind(one);
                setAnswer(null);
              }}
            >
              {one === "characters" ? "Wrong characters" : "Stripes"}
            </button>
          ))}
        </div>
      )}
      {kind === "stripes" ? (
        <StripeFields stripes={stripes} picture={picture} onChange={setStripes} />
      ) : (
        <PairFields pairs={pairs} onChange={setPairs} />
      )}
      {kind === "stripes" && picture.kind === "dots" && (
        <Screen title="As described" says={stripesText(stripes)} picture={stripesPicture(stripes, picture)} />
      )}
      <button
        type="submit"
        className="main-button"
        disabled={kind === "characters" && known.length < pairs.length}
      >
        Which fault makes this?
      </button>
      {problem !== null && <ProblemNote problem={problem} />}
      {answer !== null && <Matches job={job} answer={answer} onDraw={onDraw} />}
      {answer !== null && kind === "characters" && !closed && (
        <button type="button" className="plain-button" onClick={addPairs}>
          Add {known.length === 1 ? "this character" : "these characters"} to the log as evidence
        </button>
      )}
    </form>
  );
}

const mostMatches = 8;

function Matches({
  job,
  answer: { matches },
  onDraw,
}: {
  readonly job: string;
  readonly answer: SeenAnswer;
  readonly onDraw: (fault: PictureFault, on: PictureAsk["content"]) => void;
}): ReactNode {
  if (matches.length === 0)
    return (
      <p className="seen-none">
        No single fault of this memory makes this. Count again, or look at what comes behind the memory.
      </p>
    );
  return (
    <ul className="seen-matches">
      {matches.slice(0, mostMatches).map(({ title, parts, fault, content }) => (
        <li key={title}>
          <div>
            <p className="explained-title">{title}</p>
            <p className="quiet">
              {parts.map((part, k) => (
                <span key={part}>
                  {k === 0 ? "" : ", "}
                  <a href={addressOf({ page: "part", job, ref: part })} className="place">
                    {part}
                  </a>
                </span>
              ))}
            </p>
          </div>
          <button
            type="button"
            className="plain-button"
            aria-label={`Draw it: ${title}`}
            onClick={() => onDraw(fault, content)}
          >
            Draw it
          </button>
        </li>
      ))}
      {matches.length > mostMatches && <li className="quiet">and {matches.length - mostMatches} more</li>}
    </ul>
  );
}

function codeText(code: number): string {
  return `0x${code.toString(16).toUpperCase().padStart(2, "0")}`;
}

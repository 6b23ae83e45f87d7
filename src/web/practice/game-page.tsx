import { type ReactNode, useCallback, useEffect, useMemo, useState } from "react";
import type { PracticeStep, PracticeView } from "../../app/api/practice.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { BoardMapView } from "../map/board-map-view.jsx";
import type { Spot } from "../map/scene.js";
import { api } from "../net/api.js";
import { problemOf } from "../net/load.js";
import { announce } from "../state/announcer.js";
import { boardStore } from "../state/boards.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { minutesText } from "../ui/words.js";
import { BothPaths } from "./both-paths.jsx";
import { GameTools } from "./game-tools.jsx";

const nobody: ReadonlyMap<string, number> = new Map();

/** A game: the complaint, the map to read pins on, the steps taken and their minutes. */
export function GamePage({ id }: { readonly id: string }): ReactNode {
  const [game, setGame] = useState<PracticeView | null>(null);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const [hint, setHint] = useState<string | null>(null);
  const [probes, setProbes] = useState<readonly Spot[]>([]);
  const [busy, setBusy] = useState(false);
  const { board } = useStore(useMemo(() => boardStore(game?.board ?? ""), [game?.board]));

  useEffect(() => {
    let wanted = true;
    api.game(id).then(
      (value) => wanted && setGame(value),
      (cause: unknown) => wanted && setProblem(problemOf(cause)),
    );
    return () => {
      wanted = false;
    };
  }, [id]);

  const run = useCallback(async <T,>(work: () => Promise<T>, then: (value: T) => void): Promise<void> => {
    setBusy(true);
    setProblem(null);
    try {
      then(await work());
    } catch (cause) {
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  }, []);

  const play = useCallback(
    (step: PracticeStep) =>
      void run(
        () => api.play(id, step),
        (answer) => {
          setGame(answer.game);
          setHint(null);
          announce(`${answer.answer} ${minutesText(answer.game.minutes)} so far.`);
          const place = answer.game.steps.at(-1)?.place;
          if (place != null) setProbes([{ ref: place.part, pin: place.pin }]);
        },
      ),
    [id, run],
  );

  if (game === null) {
    return (
      <main className="page">
        <PageHead title="Practice" back={{ page: "practice" }} />
        {problem === null ? (
          <Waiting what="The machine is being carried in" />
        ) : (
          <ProblemNote problem={problem} />
        )}
      </main>
    );
  }
  const over = game.state !== "open";
  const last = game.steps.at(-1);
  const complaint = game.complaint.map((line) => line.replace(/^Symptom: /, "")).join(" ");
  return (
    <main className="job game" data-closed={over}>
      <PageHead
        title={`Practice on ${game.boardTitle}`}
        below={`fault number ${game.seed}`}
        back={{ page: "practice" }}
      >
        <p className="game-minutes">
          <strong>{minutesText(game.minutes)}</strong> <span className="quiet">at the bench</span>
        </p>
      </PageHead>
      <div className="job-grid">
        <div className="job-step">
          <section className="step" aria-labelledby="step-title" aria-busy={busy}>
            <div className="step-slab">
              <div className="step-words">
                <p className="step-kicker">
                  {over ? "It is over" : last === undefined ? "A machine comes in" : "It shows"}
                </p>
                <h1 id="step-title" className="step-title">
                  {over ? ending(game) : (last?.says ?? "Find the fault")}
                </h1>
                {over ? (
                  <p className="step-why">{game.truth?.says}</p>
                ) : (
                  <p className="step-facts">{last === undefined ? complaint : last.asked}</p>
                )}
              </div>
            </div>
            {problem !== null && <ProblemNote problem={problem} />}
            {hint !== null && !over && <p className="note">{hint}</p>}
            {!over && (
              <GameTools
                game={game}
                busy={busy}
                onPlay={play}
                onHint={() =>
                  void run(
                    () => api.hint(id),
                    (told) => {
                      setHint(`The program would do this next: ${told.instruction}`);
                      setProbes(told.place === null ? [] : [{ ref: told.place.part, pin: told.place.pin }]);
                    },
                  )
                }
                onGiveUp={() => void run(() => api.giveUp(id), setGame)}
              />
            )}
          </section>
          {over && <BothPaths game={id} />}
        </div>
        <div className="job-map">
          {board === null ? (
            <Waiting what="The board is being drawn" />
          ) : (
            <BoardMapView
              map={board}
              suspicion={nobody}
              probes={probes}
              onPick={(spot) => !over && spot.pin !== null && play({ at: `${spot.ref}.${spot.pin}` })}
              actions={(spot) =>
                !over && (
                  <>
                    {spot.pin !== null && (
                      <button
                        type="button"
                        className="main-button"
                        disabled={busy}
                        onClick={() => play({ at: `${spot.ref}.${spot.pin}` })}
                      >
                        Read pin {spot.pin}
                      </button>
                    )}
                    <button
                      type="button"
                      className="plain-button"
                      disabled={busy}
                      onClick={() => play({ part: spot.ref, repair: "replace" })}
                    >
                      Replace {spot.ref}
                    </button>
                  </>
                )
              }
            />
          )}
        </div>
        <div className="job-log">
          <section className="log" aria-labelledby="game-steps">
            <h2 id="game-steps">Steps</h2>
            <p className="quiet">{complaint}</p>
            <ol className="log-lines" reversed>
              {game.steps
                .map((step, i) => ({ step, i }))
                .toReversed()
                .map(({ step, i }) => (
                  <li key={i} className="log-line log-measured">
                    <span className="log-mark" aria-hidden="true" />
                    <div className="log-words">
                      <p>
                        <strong>{step.says}</strong>
                      </p>
                      <p className="quiet">
                        {step.asked}, {minutesText(step.minutes)}
                      </p>
                    </div>
                  </li>
                ))}
            </ol>
          </section>
        </div>
      </div>
    </main>
  );
}

function ending({ state, truth }: PracticeView): string {
  const part = truth === null ? "" : `${truth.part}, ${truth.type}`;
  return state === "fixed" ? `Found: ${part}` : `It was ${part}`;
}

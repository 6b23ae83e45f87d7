import { type ReactNode, useEffect, useRef, useState } from "react";
import type { BoardDetail } from "../../app/api/boards.js";
import type { Findings, StepAnswer, StepView } from "../../app/api/findings.js";
import { solderSide } from "../state/keepsakes.js";
import { useStore } from "../state/store.js";
import { Icon } from "../ui/icon.jsx";
import { useKeys } from "../ui/use-keys.js";
import { instrumentNames, minutesText } from "../ui/words.js";
import { Answers } from "./answers.jsx";
import { CloseUp } from "./close-up.jsx";
import { GateList } from "./gate-list.jsx";
import { stepHeading } from "./step-heading.js";

type PlannedStep = Findings["result"]["next"][number];

interface Props {
  readonly step: PlannedStep;
  readonly view: StepView;
  readonly board: BoardDetail | null;
  /** True while an answer is on its way or newer findings are being worked out. */
  readonly busy: boolean;
  /** True if replacing now beats every reading. */
  readonly stop: boolean;
  readonly onAnswer: (answer: StepAnswer) => void;
  readonly onCannot: () => void;
  readonly onOther: () => void;
}

// A second tap that was meant for the card before must not answer the card that has just come.
const settleMilliseconds = 350;

/** The next step: the first and largest thing on the page. */
export function StepCard(props: Props): ReactNode {
  const { step, view, board, busy, stop, onAnswer, onCannot, onOther } = props;
  const settled = useSettled(view.id, busy);
  const [ticked, setTicked] = useState<ReadonlySet<string>>(new Set());
  const mirrored = useStore(solderSide);
  const isGate = step.action === "gate";
  const gateOpen = isGate && step.cautions.some((caution) => !ticked.has(caution));
  // Of the gate's two answers the one that lets the machine be powered waits for every tick.
  const disabled = (index: number): boolean => busy || (gateOpen && index === 0);
  const answer = (index: number): void => {
    const chosen = view.answers[index];
    if (chosen !== undefined && settled && !disabled(index)) onAnswer(chosen);
  };
  useKeys(
    Object.fromEntries([
      ...view.answers.slice(0, 9).map((_, i) => [String(i + 1), () => answer(i)] as const),
      ["x", () => view.canSkip && !busy && onCannot()] as const,
    ]),
  );
  const closeUps = view.places.flatMap((place) => {
    const part = board?.parts.find((one) => one.ref === place.part);
    return part === undefined ? [] : [{ part, pin: place.pin }];
  });

  return (
    <section className="step" aria-labelledby="step-title" aria-busy={busy}>
      <div className="step-slab">
        <div className="step-words">
          <p className="step-kicker">{kicker(step, stop)}</p>
          <h1 id="step-title" className="step-title">
            {stepHeading(step, view)}
          </h1>
          <p className="step-facts">{factsOf(step, view).join(" · ")}</p>
          {!isGate && closeUps.length === 0 && step.instruction !== view.title && (
            <p className="step-instruction">{step.instruction}</p>
          )}
          <p className="step-why">{view.why}</p>
        </div>
        {closeUps.length > 0 && (
          <div className="step-places">
            {closeUps.slice(0, 2).map(({ part, pin }) => (
              <CloseUp
                key={`${part.ref}.${pin}`}
                part={part}
                parts={board?.parts ?? []}
                pin={pin}
                mirrored={mirrored}
                named={closeUps.length > 1 || !stepHeading(step, view).includes(part.ref)}
              />
            ))}
          </div>
        )}
      </div>
      {isGate ? (
        <GateList cautions={step.cautions} ticked={ticked} onTick={setTicked} />
      ) : (
        step.cautions.length > 0 && (
          <ul className="cautions" aria-label="Cautions">
            {step.cautions.map((caution) => (
              <li key={caution}>
                <Icon name="warning" />
                {caution}
              </li>
            ))}
          </ul>
        )
      )}
      <Answers
        answers={view.answers}
        disabled={disabled}
        onAnswer={(chosen) => settled && onAnswer(chosen)}
      />
      <div className="step-extras">
        <button type="button" className="plain-button" onClick={onOther}>
          Other reading <kbd>/</kbd>
        </button>
        {view.canSkip && (
          <button type="button" className="plain-button" disabled={busy} onClick={onCannot}>
            Cannot do this <kbd>x</kbd>
          </button>
        )}
      </div>
    </section>
  );
}

/** With what, how long, machine on or off, and which line: what the title leaves open. */
function factsOf(step: PlannedStep, view: StepView): string[] {
  const [place] = view.places;
  const line =
    place?.net == null ? "" : `line ${place.net}${place.pinName === "" ? "" : ` (${place.pinName})`}`;
  const facts =
    step.action === "reading"
      ? [
          step.with === "none" ? "" : `with ${instrumentNames[step.with] ?? step.with}`,
          minutesText(step.minutes),
          step.powered ? "machine on" : "machine off, unplugged",
          line,
        ]
      : [minutesText(step.minutes), step.action === "repair" && step.effort !== "none" ? step.effort : ""];
  return facts.filter((fact) => fact !== "");
}

function kicker(step: PlannedStep, stop: boolean): string {
  if (step.action === "gate") return "Before any power";
  if (step.action === "repair") return stop ? "Measured enough: mend it" : "Next step: mend";
  return "Next step";
}

/** False for a moment after the step has changed. */
function useSettled(step: string, busy: boolean): boolean {
  const [settled, setSettled] = useState(true);
  const shown = useRef(step);
  useEffect(() => {
    if (shown.current === step && !busy) return;
    shown.current = step;
    setSettled(false);
    const timer = setTimeout(() => setSettled(true), settleMilliseconds);
    return () => clearTimeout(timer);
  }, [step, busy]);
  return settled;
}

import { type ReactNode, useEffect, useId, useState } from "react";
import { deckEntry } from "../../app/api/deck-entry.js";
import type { JobSummary } from "../../app/api/jobs.js";
import { type BeltSection, beltSections, newBelt } from "../../core/deck/belt.js";
import { type CareTask, careSteps, careTasks } from "../../core/deck/care.js";
import { judge, type LimitSet } from "../../core/deck/limits.js";
import { renderTones, type TestToneUse, testTones, testToneUses } from "../../core/deck/test-tone.js";
import { wavFile } from "../../core/signal/wav-write.js";
import { api } from "../net/api.js";
import { newClientId } from "../net/client-id.js";
import { announce } from "../state/announcer.js";
import { useStore } from "../state/store.js";
import { play, playing, stopPlaying } from "../tape/parts/player.js";
import { saveFile } from "../tape/parts/save.js";
import type { Measured } from "./mechanism.js";

/** Keeps the reading in a job's log, as it was before or after the work. */
export function KeepPanel({
  measured,
  limits,
}: {
  readonly measured: Measured;
  readonly limits: LimitSet;
}): ReactNode {
  const [jobs, setJobs] = useState<readonly JobSummary[]>([]);
  const [job, setJob] = useState("");
  const [said, setSaid] = useState("");
  useEffect(() => {
    api.jobs().then(
      (all) => {
        const open = all.filter(({ state }) => state === "open");
        setJobs(open);
        setJob(open[0]?.id ?? "");
      },
      () => setSaid("The jobs cannot be reached."),
    );
  }, []);
  const { reading } = measured;
  if (reading === undefined) return null;
  const keep = async (stage: "before" | "after"): Promise<void> => {
    try {
      const entry = deckEntry(measured.name, reading, judge(reading, limits), stage);
      await api.addEntry(job, { id: newClientId(), entry });
      setSaid(`Kept as it is ${stage} the work.`);
      announce("Kept in the job");
    } catch (cause) {
      setSaid(cause instanceof Error ? cause.message : String(cause));
    }
  };
  return (
    <section className="mech-keep" aria-labelledby="mech-keep-title">
      <h2 id="mech-keep-title">Keep it in a job</h2>
      {jobs.length === 0 ? (
        <p className="quiet">There is no open job.</p>
      ) : (
        <div className="mech-row">
          <label className="field">
            <span>Job</span>
            <select value={job} onChange={({ target }) => setJob(target.value)}>
              {jobs.map(({ id, title }) => (
                <option key={id} value={id}>
                  {title}
                </option>
              ))}
            </select>
          </label>
          <button type="button" className="plain-button" onClick={() => void keep("before")}>
            Before the work
          </button>
          <button type="button" className="plain-button" onClick={() => void keep("after")}>
            After the work
          </button>
        </div>
      )}
      <p role="status">{said}</p>
    </section>
  );
}

const useWords: Readonly<Record<TestToneUse, string>> = {
  speed: "speed: one tone",
  azimuth: "azimuth: 3150, 6300, 10 000 Hz",
  response: "response: 315 to 12 500 Hz",
};
const sampleRateHz = 48000;

/** Makes the tones of a test tape: to save, or to play into a deck that records them. */
export function ToneMaker(): ReactNode {
  const [use, setUse] = useState<TestToneUse>("speed");
  const [speedHz, setSpeedHz] = useState(3150);
  const now = useStore(playing);
  const make = (): Float32Array =>
    renderTones(
      testTones(use, { seconds: use === "speed" ? 60 : 15, levelDecibel: -10, speedHz }),
      sampleRateHz,
    );
  return (
    <section className="mech-tone" aria-labelledby="mech-tone-title">
      <h2 id="mech-tone-title">Make a test tape</h2>
      <p className="quiet">
        A tone recorded on the deck that plays it shows flutter twice and hides the error of speed; a tape
        made on a deck that is known shows both.
      </p>
      <div className="mech-row">
        <label className="field">
          <span>For</span>
          <select
            value={use}
            onChange={({ target }) => setUse(testToneUses.find((one) => one === target.value) ?? "speed")}
          >
            {testToneUses.map((one) => (
              <option key={one} value={one}>
                {useWords[one]}
              </option>
            ))}
          </select>
        </label>
        <label className="field">
          <span>Speed tone</span>
          <select value={speedHz} onChange={({ target }) => setSpeedHz(Number(target.value))}>
            <option value={3150}>3150 Hz</option>
            <option value={3000}>3000 Hz</option>
          </select>
        </label>
        <button
          type="button"
          className="plain-button"
          onClick={() => {
            const samples = make();
            saveFile(`${use}-${speedHz}.wav`, [wavFile([samples, samples], sampleRateHz)], "audio/wav");
          }}
        >
          Save as WAV
        </button>
        {now === null ? (
          <button
            type="button"
            className="plain-button"
            onClick={() => play("Test tone", make(), sampleRateHz)}
          >
            Play
          </button>
        ) : (
          <button type="button" className="plain-button" onClick={stopPlaying}>
            Stop playing
          </button>
        )}
      </div>
    </section>
  );
}

/** From the old belt, a thread or two pulleys to the belt to order. */
export function BeltPanel(): ReactNode {
  const [section, setSection] = useState<BeltSection>("square");
  const [known, setKnown] = useState<"old" | "path" | "pulleys">("old");
  const [values, setValues] = useState<readonly string[]>(["", "", ""]);
  const resultId = useId();
  const numbers = values.map((text) => Number(text.replace(",", ".").trim() || Number.NaN));
  const field = (place: number, words: string): ReactNode => (
    <label className="field field-short">
      <span>{words}, mm</span>
      <input
        inputMode="decimal"
        value={values[place] ?? ""}
        onChange={({ target }) => setValues(values.map((text, i) => (i === place ? target.value : text)))}
        aria-describedby={resultId}
      />
    </label>
  );
  return (
    <section className="mech-belt" aria-labelledby="mech-belt-title">
      <h2 id="mech-belt-title">Find a belt</h2>
      <div className="mech-row">
        <label className="field">
          <span>What is known</span>
          <select
            value={known}
            onChange={({ target }) =>
              setKnown(target.value === "path" ? "path" : target.value === "pulleys" ? "pulleys" : "old")
            }
          >
            <option value="old">the old belt</option>
            <option value="path">a thread laid round the pulleys</option>
            <option value="pulleys">two pulleys</option>
          </select>
        </label>
        <label className="field">
          <span>Section</span>
          <select
            value={section}
            onChange={({ target }) => setSection(target.value === "flat" ? "flat" : "square")}
          >
            {beltSections.map((one) => (
              <option key={one}>{one}</option>
            ))}
          </select>
        </label>
        {known === "old" && field(0, "Inner length")}
        {known === "path" && field(0, "Length of the thread")}
        {known === "pulleys" && (
          <>
            {field(0, "Small pulley")}
            {field(1, "Large pulley")}
            {field(2, "Axle to axle")}
          </>
        )}
      </div>
      <p id={resultId} role="status">
        {beltWords(known, section, numbers)}
      </p>
    </section>
  );
}

function beltWords(
  known: "old" | "path" | "pulleys",
  section: BeltSection,
  numbers: readonly number[],
): string {
  const [first = Number.NaN, second = Number.NaN, distance = Number.NaN] = numbers;
  const isWhole = known === "pulleys" ? [first, second, distance].every((value) => value > 0) : first > 0;
  if (!isWhole) return "Give the lengths in millimetres.";
  try {
    const belt = newBelt(
      known === "pulleys"
        ? {
            kind: "pulleys",
            pulleys: [
              { x: 0, y: 0, diameter: first },
              { x: distance, y: 0, diameter: second },
            ],
          }
        : { kind: known === "old" ? "old-belt" : "path", lengthMillimetres: first },
      section,
    );
    const { low, usual, high } = belt.innerMillimetres;
    const path =
      belt.pathMillimetres === undefined ? "" : ` for a path of ${belt.pathMillimetres.toFixed(1)} mm`;
    return `Order ${usual.toFixed(0)} mm of inner length${path}; ${low.toFixed(0)} to ${high.toFixed(0)} mm will do. As a ring that is ${belt.innerDiameterMillimetres.usual.toFixed(1)} mm across. Rule of thumb, common practice, no source.`;
  } catch (cause) {
    return `No such belt: ${cause instanceof Error ? cause.message : String(cause)}.`;
  }
}

/** Cleaning, demagnetising and setting, step by step, each caution before what it warns of. */
export function CarePanel(): ReactNode {
  const [task, setTask] = useState<CareTask>("clean");
  const { title, steps } = careSteps(task);
  return (
    <section className="mech-care" aria-labelledby="mech-care-title">
      <h2 id="mech-care-title">Care</h2>
      <label className="field">
        <span>Task</span>
        <select
          value={task}
          onChange={({ target }) => setTask(careTasks.find((one) => one === target.value) ?? "clean")}
        >
          {careTasks.map((one) => (
            <option key={one} value={one}>
              {careSteps(one).title}
            </option>
          ))}
        </select>
      </label>
      <ol className="mech-steps" aria-label={title}>
        {steps.map(({ caution, text }) => (
          <li key={text}>
            {caution !== undefined && <p className="mech-caution">{caution}</p>}
            <p>{text}</p>
          </li>
        ))}
      </ol>
    </section>
  );
}

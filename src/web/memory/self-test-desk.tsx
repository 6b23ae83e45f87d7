import { type ReactNode, useState } from "react";
import type { SelfTestOptions, SelfTestSheet } from "../../app/api/self-test.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { problemOf } from "../net/load.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { BeaconTaps } from "./beacon-taps.jsx";
import { ImageBuild } from "./image-build.jsx";
import { memoryApi } from "./memory-api.js";
import { saveFile } from "./save-file.js";

/** The self-test in ROM: its sheet, and its signals read. */
export function SelfTestDesk({ job, closed }: { readonly job: string; readonly closed: boolean }): ReactNode {
  const [options, setOptions] = useState({ clock: "", ranges: "", unit: "", hold: "", rows: "" });
  const [sheet, setSheet] = useState<{ readonly asked: SelfTestOptions; readonly is: SelfTestSheet } | null>(
    null,
  );
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const load = async (): Promise<void> => {
    setProblem(null);
    const asked = optionsOf(options);
    try {
      setSheet({ asked, is: await memoryApi.selfTest(job, asked) });
    } catch (cause) {
      setSheet(null);
      setProblem(problemOf(cause));
    }
  };
  const field = (name: keyof typeof options, label: string, placeholder: string): ReactNode => (
    <label className="field field-short">
      {label}
      <input
        type="text"
        spellCheck={false}
        autoCapitalize="off"
        autoComplete="off"
        placeholder={placeholder}
        value={options[name]}
        onChange={(event) => setOptions({ ...options, [name]: event.target.value })}
      />
    </label>
  );
  return (
    <section className="stage" aria-labelledby="self-test-title">
      <h2 id="self-test-title">Self-test in place of the start-up ROM</h2>
      <p>
        Needs no working RAM and no picture: the verdict comes as short and long signals, read with a logic
        probe, a light or by ear.
      </p>
      <form
        className="self-test-options"
        onSubmit={(event) => {
          event.preventDefault();
          void load();
        }}
      >
        {field("clock", "Clock in MHz", "the board's")}
        {field("ranges", "Test only", "all memory")}
        {field("unit", "Short signal in seconds", "0.2")}
        {field("hold", "Must hold for seconds", "1")}
        <label className="field field-short">
          Rows of the chips
          <select
            value={options.rows}
            onChange={(event) => setOptions({ ...options, rows: event.target.value })}
          >
            <option value="">as their type says</option>
            <option value="128">128</option>
            <option value="256">256</option>
          </select>
        </label>
        <button type="submit" className="main-button">
          Show the sheet
        </button>
      </form>
      {problem !== null && <ProblemNote problem={problem} />}
      {sheet !== null && (
        <div className="self-test">
          <div className="sheet">
            <Sheet sheet={sheet.is} />
            <ImageBuild job={job} options={sheet.asked} />
          </div>
          <BeaconTaps job={job} closed={closed} options={sheet.asked} sheet={sheet.is} />
        </div>
      )}
    </section>
  );
}

function Sheet({ sheet }: { readonly sheet: SelfTestSheet }): ReactNode {
  return (
    <>
      <h3>{sheet.title}</h3>
      <ul className="sheet-cautions">
        {sheet.cautions.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <ul className="sheet-steps">
        {sheet.steps.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <h4>How to read it</h4>
      <ul className="sheet-steps">
        {sheet.reading.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <button
        type="button"
        className="plain-button"
        onClick={() => saveFile("self-test-sheet.html", sheet.html, "text/html")}
      >
        Save the sheet for printing
      </button>
    </>
  );
}

function optionsOf({
  clock,
  ranges,
  unit,
  hold,
  rows,
}: {
  readonly clock: string;
  readonly ranges: string;
  readonly unit: string;
  readonly hold: string;
  readonly rows: string;
}): SelfTestOptions {
  const number = (text: string): number | undefined => {
    const value = Number(text.trim().replace(",", "."));
    return text.trim() === "" || !Number.isFinite(value) ? undefined : value;
  };
  const megahertz = number(clock);
  const seconds = number(unit);
  const held = number(hold);
  return {
    ...(megahertz === undefined ? {} : { clockHertz: megahertz * 1e6 }),
    ...(ranges.trim() === "" ? {} : { ranges }),
    ...(seconds === undefined ? {} : { unitSeconds: seconds }),
    ...(held === undefined ? {} : { retentionSeconds: held }),
    ...(rows === "128" ? { refreshRows: 128 } : rows === "256" ? { refreshRows: 256 } : {}),
  };
}

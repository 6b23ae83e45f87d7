import { type ReactNode, useState } from "react";
import { spotText } from "../strip/spot-text.js";
import { momentOnTape } from "../strip/strip-view.js";
import { type CheckResult, doubtsOf, type Reading, type RepairOffer } from "../work/reading.js";

const checkWords: Readonly<Record<CheckResult, string>> = {
  right: "right",
  wrong: "wrong",
  repaired: "right after one repair",
  cut: "cut off before it",
  none: "there is none",
};

const fewDoubts = 12;

/** Blocks and doubts as tables: the same that the strip shows, in words. */
export function Findings({
  reading,
  takeNames,
  onFrame,
  onPick,
  onRepair,
}: {
  readonly reading: Reading;
  /** Names of the takes that were combined; one or none if a single take was read. */
  readonly takeNames: readonly string[];
  readonly onFrame: (from: number, to: number) => void;
  readonly onPick: (byte: number) => void;
  /** Takes the repair that is offered for a block. */
  readonly onRepair: (block: number) => void;
}): ReactNode {
  const doubts = doubtsOf(reading);
  const [all, setAll] = useState(false);
  const shown = all ? doubts : doubts.slice(0, fewDoubts);
  const parts = takeNames.length > 1 ? takeShares(reading, takeNames) : [];
  return (
    <section className="findings" aria-labelledby="findings-title">
      <h2 id="findings-title">Blocks and doubts</h2>
      <p className="findings-sum">
        <strong>{reading.bytes.length}</strong> bytes in {reading.blocks.length}{" "}
        {reading.blocks.length === 1 ? "block" : "blocks"}, <strong>{doubts.length}</strong> doubtful
        {reading.speedErrorPercent !== undefined && (
          <>
            {" "}
            · tape speed <strong>{signed(reading.speedErrorPercent)} %</strong>
          </>
        )}
      </p>
      {parts.length > 0 && <p className="quiet">{parts.join(", ")}</p>}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by keyboard */}
      <section className="findings-frame" tabIndex={0} aria-label="Tables of blocks and doubts">
        <table className="findings-table">
          <thead>
            <tr>
              <th scope="col">Block</th>
              <th scope="col">From</th>
              <th scope="col">Bytes</th>
              <th scope="col">Check</th>
              <th scope="col">Doubts</th>
            </tr>
          </thead>
          <tbody>
            {reading.blocks.map((block, number) => (
              <tr key={block.from} data-check={block.check === "cut" ? "wrong" : block.check}>
                <th scope="row">
                  <button
                    type="button"
                    className="block-number"
                    onClick={() => onFrame(block.startSeconds, block.endSeconds)}
                  >
                    {number + 1}
                  </button>
                </th>
                <td>{momentOnTape(block.startSeconds, 0.1)}</td>
                <td>{block.to - block.from}</td>
                <td>
                  {checkWords[block.check]}
                  {block.fields.map(({ name, value }) => (
                    <span key={name} className="block-field">
                      {name}{" "}
                      <span className="place">{value.toString(16).toUpperCase().padStart(4, "0")}</span>
                    </span>
                  ))}
                  {block.repair !== undefined && (
                    <button type="button" className="plain-button" onClick={() => onRepair(number)}>
                      {repairWords(block.repair, block.from, reading)}
                    </button>
                  )}
                </td>
                <td>{doubts.filter((byte) => byte >= block.from && byte < block.to).length}</td>
              </tr>
            ))}
          </tbody>
        </table>
        {doubts.length > 0 && (
          <ol className="doubt-list">
            {shown.map((byte) => (
              <li key={byte}>
                <button type="button" className="doubt" onClick={() => onPick(byte)}>
                  {spotText(reading, byte)}
                </button>
              </li>
            ))}
          </ol>
        )}
        {doubts.length > shown.length && (
          <button type="button" className="plain-button" onClick={() => setAll(true)}>
            All {doubts.length} doubts
          </button>
        )}
      </section>
    </section>
  );
}

function repairWords({ byte, value, rivals }: RepairOffer, from: number, { bytes }: Reading): string {
  const hex = (number: number): string => number.toString(16).toUpperCase().padStart(2, "0");
  const others = rivals === 0 ? "" : `; ${rivals} other bits would do as well`;
  return `Right if byte ${byte - from} is ${hex(value)} and not ${hex(bytes[byte] ?? 0)}: take it${others}`;
}

function takeShares({ source }: Reading, names: readonly string[]): string[] {
  const counts = names.map(() => 0);
  for (const take of source) counts[take] = (counts[take] ?? 0) + 1;
  return names.map((name, number) => `${counts[number] ?? 0} bytes from ${name}`);
}

function signed(percent: number): string {
  const text = Math.abs(percent).toFixed(2);
  return percent < 0 ? `−${text}` : `+${text}`;
}

import { type ReactNode, useMemo } from "react";
import { useStore } from "../../state/store.js";
import type { ByteNotation } from "../strip/painting.js";
import type { StripControl } from "../strip/strip-control.js";
import { byteAt, type Reading } from "../work/reading.js";
import { byteRows, mostListed } from "./byte-rows.js";

const notations: readonly { readonly id: ByteNotation; readonly words: string }[] = [
  { id: "hex", words: "Hex" },
  { id: "decimal", words: "Decimal" },
  { id: "text", words: "Text" },
];

/** The bytes of the stretch in view, as text or numbers. A byte leads to its place on the strip. */
export function ByteList({
  reading,
  control,
  notation,
  onNotation,
  picked,
  onPick,
}: {
  readonly reading: Reading;
  readonly control: StripControl;
  readonly notation: ByteNotation;
  readonly onNotation: (notation: ByteNotation) => void;
  readonly picked: number;
  readonly onPick: (byte: number) => void;
}): ReactNode {
  const { startSeconds, secondsPerPixel } = useStore(control.settled);
  const end = startSeconds + secondsPerPixel * control.reach.width;
  const from = Math.max(0, byteAt(reading, startSeconds));
  const to = byteAt(reading, end) + 1;
  const perRow = notation === "text" ? 48 : notation === "decimal" ? 12 : 16;
  const rows = useMemo(
    () => byteRows(reading, from, to, notation, perRow),
    [reading, from, to, notation, perRow],
  );
  const count = Math.max(0, to - from);
  return (
    <section className="bytes" aria-labelledby="bytes-title">
      <header className="bytes-head">
        <h2 id="bytes-title">
          Bytes in view <span className="bytes-count">{count}</span>
        </h2>
        <fieldset className="choice" aria-label="Bytes as">
          {notations.map(({ id, words }) => (
            <button key={id} type="button" aria-pressed={notation === id} onClick={() => onNotation(id)}>
              {words}
            </button>
          ))}
        </fieldset>
      </header>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by keyboard */}
      <section className="bytes-sheet" tabIndex={0} aria-label="Bytes">
        <table className="bytes-table" data-notation={notation}>
          <tbody>
            {rows.map((row) => (
              <tr key={row.cells[0]?.byte ?? row.place}>
                <th scope="row">{row.place}</th>
                <td className="bytes-cells">
                  {row.cells.map(({ byte, text, isDoubtful }) => (
                    <span
                      key={byte}
                      className="byte"
                      data-doubtful={isDoubtful || undefined}
                      data-picked={byte === picked || undefined}
                      onPointerUp={() => onPick(byte)}
                    >
                      {text}
                    </span>
                  ))}
                </td>
                {notation !== "text" && <td className="bytes-letters">{row.letters}</td>}
              </tr>
            ))}
          </tbody>
        </table>
        {count > mostListed && (
          <p className="quiet">The first {mostListed} are listed; zoom in to choose a shorter stretch.</p>
        )}
        {count === 0 && <p className="quiet">There is none in the stretch that the strip shows.</p>}
      </section>
    </section>
  );
}

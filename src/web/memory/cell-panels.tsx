import { type ReactNode, useMemo } from "react";
import type { MemoryAnswer } from "../../app/api/memory.js";
import { panelMarks, panelText, renderMemoryMap } from "../../core/draw/memory-map-svg.js";
import { saveFile } from "./save-file.js";

type Memory = MemoryAnswer["memories"][number];
type Panel = Memory["panels"][number];

/** A memory as bits by chip, each as rows by columns with what failed in it. */
export function CellPanels({ memory }: { readonly memory: Memory }): ReactNode {
  const { title, dynamic, panels } = memory;
  const save = (): void => {
    const drawn = panels.map((panel) => ({ ...panel, states: statesOf(panel) }));
    saveFile("memory-map.svg", renderMemoryMap(title, drawn), "image/svg+xml");
  };
  return (
    <div className="cells">
      <div className="cells-head">
        <h3>{title}</h3>
        <button type="button" className="plain-button" onClick={save}>
          Save the drawing
        </button>
      </div>
      <p className="quiet">
        {dynamic
          ? "Each square is a chip: its rows from top to bottom, its columns from left to right."
          : "Each square is a data bit: addresses row by row. How the chip lies inside is not known."}{" "}
        <Key />
      </p>
      <ul className="cells-grid">
        {panels.map((panel) => (
          <li key={`${panel.part} ${panel.bit}`} className="cells-panel" data-failing={panel.failing > 0}>
            <Cells panel={panel} />
            <strong className="place">{panel.part}</strong>
            <span>{panelText(panel)}</span>
          </li>
        ))}
      </ul>
    </div>
  );
}

function Cells({ panel }: { readonly panel: Panel }): ReactNode {
  const marks = useMemo(() => panelMarks({ across: panel.across, states: statesOf(panel) }), [panel]);
  return (
    <svg
      className="cells-drawing"
      viewBox={`-0.5 -0.5 ${marks.across + 1} ${marks.down + 1}`}
      preserveAspectRatio="none"
      aria-hidden="true"
    >
      <rect className="cells-ground" width={marks.across} height={marks.down} />
      <path className="cells-untested" d={marks.untested} />
      <path className="cells-some" d={marks.some} />
      <path className="cells-all" d={marks.all} />
    </svg>
  );
}

function Key(): ReactNode {
  return (
    <span className="cells-key">
      <svg viewBox="0 0 10 10" aria-hidden="true">
        <rect className="cells-all" width={10} height={10} />
      </svg>{" "}
      all cells fail
      <svg viewBox="0 0 10 10" aria-hidden="true">
        <rect className="cells-ground" width={10} height={10} />
        <rect className="cells-some" x={2.5} y={2.5} width={5} height={5} />
      </svg>{" "}
      some fail
      <svg viewBox="0 0 10 10" aria-hidden="true">
        <rect className="cells-ground" width={10} height={10} />
      </svg>{" "}
      good
      <svg viewBox="0 0 10 10" aria-hidden="true">
        <path className="cells-untested-key" d="M0 10L10 0M0 5L5 0M5 10L10 5" />
      </svg>{" "}
      not tested
    </span>
  );
}

function statesOf({ states }: Panel): Uint8Array {
  return Uint8Array.from(states, Number);
}

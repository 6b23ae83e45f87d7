import type { ReactNode } from "react";
import { useStore } from "../../state/store.js";
import { Icon } from "../../ui/icon.jsx";
import { momentOnTape } from "../strip/strip-view.js";
import { type Take, tapeDesk } from "../work/desk.js";
import { saveFile, stemOf } from "./save.js";

/** The recordings on the desk: which is shown, and which take part when takes are combined. */
export function TakeList({ takes }: { readonly takes: readonly Take[] }): ReactNode {
  const desk = tapeDesk();
  const shown = useStore(desk.shown);
  const several = takes.length > 1;
  return (
    <ul className="takes" aria-label="Recordings">
      {takes.map((take) => (
        <li key={take.number} className="take" data-shown={take.number === shown || undefined}>
          <button
            type="button"
            className="take-show"
            aria-pressed={take.number === shown}
            onClick={() => desk.show(take.number)}
          >
            <span className="take-name">{take.name}</span>
            <span className="take-facts">{takeFacts(take)}</span>
          </button>
          {several && (
            <label className="take-wanted">
              <input
                type="checkbox"
                checked={take.isWanted}
                onChange={({ target }) => desk.setWanted(take.number, target.checked)}
              />
              <span>combine</span>
              <span className="only-heard"> {take.name}</span>
            </label>
          )}
          {take.state === "whole" && (
            <button type="button" className="take-save" onClick={() => void save(take)}>
              save<span className="only-heard"> {take.name}</span>
            </button>
          )}
          <button
            type="button"
            className="tool take-drop"
            aria-label={`Take ${take.name} off the desk`}
            onClick={() => desk.forget(take.number)}
          >
            <Icon name="cross" />
          </button>
        </li>
      ))}
    </ul>
  );
}

async function save({ number, name }: Take): Promise<void> {
  saveFile(`${stemOf(name).replaceAll(":", "-")}.wav`, await tapeDesk().wav(number), "audio/wav");
}

function takeFacts({ state, samples, sampleRateHz, channelCount, statedSeconds }: Take): string {
  if (state === "refused") return "cannot be read";
  if (sampleRateHz === 0) return "opening";
  const seconds = samples / sampleRateHz;
  const rate = `${(sampleRateHz / 1000).toFixed(sampleRateHz % 1000 === 0 ? 0 : 1)} kHz`;
  const channels = channelCount === 1 ? "mono" : "stereo";
  const whole =
    state === "coming" && statedSeconds !== undefined && statedSeconds > 0
      ? ` · ${Math.round((100 * seconds) / statedSeconds)} %`
      : "";
  return `${momentOnTape(seconds, 1)} · ${rate} · ${channels}${whole}`;
}

import type { ReactNode } from "react";
import { replayShare, speedHints } from "../../core/deck/hints.js";
import { type Grade, type JudgedQuantity, judge, type LimitSet } from "../../core/deck/limits.js";
import type { DeckReading } from "../../core/deck/reading.js";
import { Icon } from "../ui/icon.jsx";
import { signed } from "./charts.jsx";

const gradeWords: Readonly<Record<Grade, string>> = { good: "good", fair: "fair", poor: "needs service" };
const kindWords: Readonly<Record<LimitSet["kind"], string>> = {
  standard: "a standard",
  maker: "a maker's manual",
  "common-practice": "common practice, no source",
};
const quantityWords: Readonly<Record<JudgedQuantity, string>> = {
  "speed-error": "Speed error, worst stretch",
  "flutter-weighted-peak": "Wow and flutter, weighted peak",
  "flutter-weighted-rms": "Wow and flutter, weighted rms",
  "dropouts-per-minute": "Dropouts",
  "level-spread": "Spread of the level",
  "channel-balance": "Balance of the channels",
  azimuth: "Tilt of the head",
};

/** The figures of a reading, the largest those that are asked for first. */
export function Figures({ reading }: { readonly reading: DeckReading }): ReactNode {
  const { speed, flutter, noise, azimuth, level, dropouts } = reading;
  const percent = (ratio: number | undefined): string =>
    ratio === undefined ? "–" : (100 * ratio).toFixed(3);
  return (
    <div className="mech-figures">
      <div className="mech-plate mech-plate-main">
        <h2>Speed error</h2>
        <p>
          <span className="mech-figure">{signed(100 * speed.meanRatio)}</span> %
        </p>
        <p className="quiet">
          {[speed.startRatio, speed.middleRatio, speed.endRatio]
            .map((ratio) => signed(100 * ratio))
            .join(" · ")}{" "}
          % at start, middle, end
        </p>
        <p className="quiet">
          {reading.measuredHz.toFixed(2)} Hz for {reading.toneHz} Hz
        </p>
      </div>
      <div className="mech-plate mech-plate-main">
        <h2>Wow and flutter</h2>
        <p>
          <span className="mech-figure">±{percent(flutter?.weightedPeakRatio)}</span> %
        </p>
        <p className="quiet">weighted peak, two-sigma, IEC 60386 and AES6</p>
        <p className="quiet">
          ±{percent(flutter?.unweightedPeakRatio)} % unweighted · {percent(flutter?.weightedRmsRatio)} %
          weighted rms (NAB, JIS)
        </p>
      </div>
      <dl className="mech-plate mech-rest">
        <dt>Dropouts</dt>
        <dd>{dropouts.length}</dd>
        <dt>Level</dt>
        <dd>{level.channelDecibel.map((value) => value.toFixed(1).replace("-", "−")).join(" / ")} dB</dd>
        {noise !== undefined && (
          <>
            <dt>Hum, {noise.mainsHz} Hz</dt>
            <dd>{noise.humDecibel.toFixed(0).replace("-", "−")} dB</dd>
            <dt>Noise</dt>
            <dd>{noise.noiseDecibel.toFixed(0).replace("-", "−")} dB</dd>
          </>
        )}
        <dt>Head, tilt</dt>
        <dd>{tiltWords(azimuth)}</dd>
      </dl>
    </div>
  );
}

function tiltWords(azimuth: DeckReading["azimuth"]): string {
  if (azimuth === undefined) return "needs two channels";
  if (azimuth.isSameSignal) return "both channels are one";
  return azimuth.tilt === undefined ? "not to be seen" : `${signed(azimuth.tilt.minutes, 1)}′`;
}

/** The reading judged by a set of limits, and what it asks for. */
export function VerdictPanel({
  reading,
  sets,
  chosen,
  onChoose,
}: {
  readonly reading: DeckReading;
  readonly sets: readonly LimitSet[];
  readonly chosen: LimitSet;
  readonly onChoose: (id: string) => void;
}): ReactNode {
  const verdict = judge(reading, chosen);
  const share = reading.flutter === undefined ? undefined : replayShare(reading.flutter.weightedPeakRatio);
  return (
    <section className="mech-verdict" aria-labelledby="mech-verdict-title">
      <h2 id="mech-verdict-title">
        {verdict.grade === undefined ? "Nothing to judge" : `The deck is ${verdictWords[verdict.grade]}`}
      </h2>
      <label className="field">
        <span>Judged by</span>
        <select value={chosen.id} onChange={({ target }) => onChoose(target.value)}>
          {sets.map(({ id, title, kind }) => (
            <option key={id} value={id}>
              {title} ({kindWords[kind]})
            </option>
          ))}
        </select>
      </label>
      <ul className="mech-judgements">
        {verdict.judgements.map(({ quantity, value, unit, good, poor, grade }) => (
          <li key={quantity} data-grade={grade}>
            <span>{quantityWords[quantity]}</span>
            <span className="place">
              {value.toFixed(unit === "%" ? 3 : 1)} {unit}
            </span>
            <span className="mech-grade">
              <Icon name={grade === "good" ? "check" : grade === "poor" ? "cross" : "warning"} />{" "}
              {gradeWords[grade]}
            </span>
            <span className="quiet">
              {good === poor ? `up to ${good} ${unit}` : `good to ${good}, poor above ${poor} ${unit}`}
            </span>
          </li>
        ))}
      </ul>
      {speedHints(reading).map(({ text }) => (
        <p key={text}>{text}</p>
      ))}
      {reading.isOwnRecording && share !== undefined && (
        <p>
          Recording and playing back on one deck adds its flutter twice: one pass alone has about{" "}
          {(100 * share.usualRatio).toFixed(3)} %, and {(100 * share.leastRatio).toFixed(3)} % at the least.
        </p>
      )}
    </section>
  );
}

const verdictWords: Readonly<Record<Grade, string>> = {
  good: "good",
  fair: "fair",
  poor: "in need of service",
};

/** Levels of several test tones, if the recording holds more than one. */
export function ResponseTable({ reading }: { readonly reading: DeckReading }): ReactNode {
  if (reading.response.length < 2) return null;
  return (
    <section aria-labelledby="mech-response">
      <h2 id="mech-response">Response</h2>
      <table className="mech-table">
        <thead>
          <tr>
            <th scope="col">Tone</th>
            {(reading.response[0]?.decibel ?? []).map((_, i) => (
              <th scope="col" key={channelName(i)}>
                {reading.level.channelDecibel.length === 1 ? "Level" : channelName(i)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {reading.response.map(({ hz, relativeDecibel }) => (
            <tr key={hz}>
              <th scope="row">{hz.toFixed(0)} Hz</th>
              {relativeDecibel.map((value, i) => (
                <td key={channelName(i)}>{signed(value, 1)} dB</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function channelName(channel: number): string {
  return channel === 0 ? "Left" : "Right";
}

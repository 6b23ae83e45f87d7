import type { KeyboardEvent, ReactNode } from "react";
import { useId, useMemo } from "react";
import { announce } from "../../state/announcer.js";
import { useStore } from "../../state/store.js";
import { Icon } from "../../ui/icon.jsx";
import { blockOf, byteAt, type Reading } from "../work/reading.js";
import { spotText } from "./spot-text.js";
import type { StripControl } from "./strip-control.js";
import { momentOnTape, rulerStep } from "./strip-view.js";
import { type StripContent, useStripCanvas } from "./use-strip-canvas.js";
import { useStripGestures } from "./use-strip-gestures.js";

/** The strip with its bar: the recording from end to end down to single cycles, and what was read written on it. */
export function Strip({
  control,
  content,
  onPick,
  onChannel,
}: {
  readonly control: StripControl;
  readonly content: StripContent;
  readonly onPick: (byte: number) => void;
  readonly onChannel: (channel: number) => void;
}): ReactNode {
  const helpId = useId();
  const strip = useStripCanvas(control, content);
  const { reading, doubts, picked } = content;

  const pick = (byte: number): void => {
    onPick(byte);
    if (reading !== null && byte >= 0) announce(spotText(reading, byte));
  };
  const show = (byte: number): void => {
    if (reading === null || byte < 0 || byte >= reading.bytes.length) return;
    pick(byte);
    const start = reading.startSeconds[byte] ?? 0;
    const end = reading.endSeconds[byte] ?? start;
    const view = control.get();
    const isSmall = (end - start) / view.secondsPerPixel < 60;
    const edge = view.secondsPerPixel * control.reach.width;
    const isOut = start < view.startSeconds || end > view.startSeconds + edge;
    if (isSmall) control.frame(start, end, 0.18);
    else if (isOut) control.set({ ...view, startSeconds: (start + end) / 2 - edge / 2 });
  };
  const nextDoubt = (step: 1 | -1): void => {
    const at = picked >= 0 ? picked : byteOfView(reading, control);
    const next = step === 1 ? doubts.find((byte) => byte > at) : doubts.findLast((byte) => byte < at);
    if (next === undefined) announce(step === 1 ? "No doubt after this" : "No doubt before this");
    else show(next);
  };
  useStripGestures(strip, control, (seconds, lane) => {
    if (reading === null) return;
    const byte = byteAt(reading, seconds);
    const block = blockOf(reading, byte)?.block;
    if (lane === "blocks" && block !== undefined) control.frame(block.startSeconds, block.endSeconds);
    else pick(byte >= 0 && seconds <= (reading.endSeconds[byte] ?? 0) ? byte : -1);
  });

  const keys = new Map<string, () => void>([
    ["ArrowLeft", () => control.move(-control.reach.width / 8)],
    ["ArrowRight", () => control.move(control.reach.width / 8)],
    ["PageUp", () => control.move(-control.reach.width)],
    ["PageDown", () => control.move(control.reach.width)],
    ["Home", () => control.set({ ...control.get(), startSeconds: 0 })],
    ["End", () => control.set({ ...control.get(), startSeconds: control.reach.seconds })],
    ["ArrowUp", () => control.zoom(1.6)],
    ["ArrowDown", () => control.zoom(1 / 1.6)],
    ["+", () => control.zoom(1.6)],
    ["-", () => control.zoom(1 / 1.6)],
    ["0", () => control.showWhole()],
    ["n", () => nextDoubt(1)],
    ["p", () => nextDoubt(-1)],
    [".", () => show(picked < 0 ? Math.max(0, byteOfView(reading, control)) : picked + 1)],
    [",", () => show(Math.max(0, picked - 1))],
    ["Escape", () => pick(-1)],
  ]);
  const press = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const act = keys.get(event.key);
    if (act === undefined) return;
    event.preventDefault();
    act();
  };

  return (
    <section className="strip" aria-label="The recording">
      <div
        className="strip-window"
        role="application"
        aria-label="Strip of the recording"
        aria-describedby={helpId}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the strip takes keys
        tabIndex={0}
        onKeyDown={press}
      >
        <canvas ref={strip.canvas} className="strip-canvas" />
      </div>
      <p id={helpId} className="only-heard">
        Arrow keys left and right move, up and down zoom, 0 shows the whole recording, n and p go to the next
        and the previous doubt, full stop and comma from byte to byte. The table of blocks below says the same
        in words.
      </p>
      <div className="strip-bar">
        <div className="strip-tools">
          <button type="button" className="tool" onClick={() => control.zoom(1 / 2)} aria-label="Zoom out">
            <Icon name="minus" />
          </button>
          <button type="button" className="tool" onClick={() => control.zoom(2)} aria-label="Zoom in">
            <Icon name="plus" />
          </button>
          <button
            type="button"
            className="tool"
            onClick={() => control.showWhole()}
            aria-label="Whole recording"
          >
            <Icon name="whole" />
          </button>
        </div>
        <Spot control={control} reading={reading} picked={picked} />
        {content.take.channelCount > 1 && (
          <fieldset className="choice" aria-label="Channel shown">
            {["Left", "Right"].map((words, number) => (
              <button
                key={words}
                type="button"
                aria-pressed={content.channel === number}
                onClick={() => onChannel(number)}
              >
                {words}
              </button>
            ))}
          </fieldset>
        )}
        {reading !== null && (
          <div className="strip-doubts">
            <button
              type="button"
              className="tool"
              aria-label="Previous doubt"
              disabled={doubts.length === 0}
              onClick={() => nextDoubt(-1)}
            >
              <Icon name="back" />
            </button>
            <DoubtCount doubts={doubts} picked={picked} />
            <button
              type="button"
              className="tool tool-turned"
              aria-label="Next doubt"
              disabled={doubts.length === 0}
              onClick={() => nextDoubt(1)}
            >
              <Icon name="back" />
            </button>
          </div>
        )}
      </div>
    </section>
  );
}

function DoubtCount({
  doubts,
  picked,
}: {
  readonly doubts: readonly number[];
  readonly picked: number;
}): ReactNode {
  const number = useMemo(() => doubts.indexOf(picked), [doubts, picked]);
  const count = doubts.length === 1 ? "1 doubt" : `${doubts.length} doubts`;
  const words =
    doubts.length === 0 ? "no doubts" : number < 0 ? count : `doubt ${number + 1} of ${doubts.length}`;
  return <span className="strip-count">{words}</span>;
}

function Spot({
  control,
  reading,
  picked,
}: {
  readonly control: StripControl;
  readonly reading: Reading | null;
  readonly picked: number;
}): ReactNode {
  const { startSeconds, secondsPerPixel } = useStore(control.settled);
  if (reading !== null && picked >= 0 && picked < reading.bytes.length) {
    return <p className="strip-spot">{spotText(reading, picked)}</p>;
  }
  const step = rulerStep(secondsPerPixel, 60);
  const end = Math.min(control.reach.seconds, startSeconds + secondsPerPixel * control.reach.width);
  return (
    <p className="strip-spot">
      <span className="place">{momentOnTape(startSeconds, step)}</span> to{" "}
      <span className="place">{momentOnTape(end, step)}</span>
    </p>
  );
}

function byteOfView(reading: Reading | null, control: StripControl): number {
  return reading === null ? -1 : byteAt(reading, control.get().startSeconds);
}

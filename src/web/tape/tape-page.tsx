import { type DragEvent, type ReactNode, useEffect, useMemo, useRef, useState } from "react";
import { z } from "zod";
import "./tape.css";
import type { Problem } from "../../core/base/problem.js";
import type { LearnedTape } from "../../core/tape/learn.js";
import { createKeepsake } from "../state/keepsakes.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ByteList } from "./parts/byte-list.jsx";
import { Findings } from "./parts/findings.jsx";
import { Learned } from "./parts/learned.jsx";
import { MakePanel } from "./parts/make-panel.jsx";
import { Problems } from "./parts/problems.jsx";
import { SchemeChoice } from "./parts/scheme-choice.jsx";
import { TakeList } from "./parts/take-list.jsx";
import { WorkBar } from "./parts/work-bar.jsx";
import { hasRecorder, NoRecorder, RecordPanel } from "./record/record-panel.jsx";
import type { ByteNotation } from "./strip/painting.js";
import { Strip } from "./strip/strip.jsx";
import { StripControl } from "./strip/strip-control.js";
import type { StripContent } from "./strip/use-strip-canvas.js";
import { tapeDesk } from "./work/desk.js";
import { doubtsOf, withRepair } from "./work/reading.js";
import { expectedCycles, knownSchemes } from "./work/schemes.js";

/** The scheme that was chosen last on this device. */
const lastScheme = createKeepsake("tape-scheme", z.string(), "kansas-city-300");
const noTrouble = { take: -1, problems: [] };

/** The tape page: recordings in, one strip with what was read written on it, bytes and clean recordings out. */
export function TapePage(): ReactNode {
  const desk = tapeDesk();
  const takes = useStore(desk.takes);
  const shown = useStore(desk.shown);
  const reading = useStore(desk.reading);
  const names = useStore(desk.readNames);
  const own = useStore(desk.ownSchemes);
  const schemeId = useStore(lastScheme);
  const [isRecording, setIsRecording] = useState(false);
  const [channel, setChannel] = useState(0);
  const [notation, setNotation] = useState<ByteNotation>("hex");
  const [picked, setPicked] = useState(-1);
  const [trouble, setTrouble] = useState<{ take: number; problems: readonly Problem[] }>(noTrouble);
  const [learned, setLearned] = useState<LearnedTape | null>(null);
  const [isOver, setIsOver] = useState(false);
  const file = useRef<HTMLInputElement>(null);
  const control = useMemo(() => new StripControl(), []);
  const schemes = [...own, ...knownSchemes()];
  const scheme = schemes.find(({ id }) => id === schemeId) ?? schemes[0];
  const take = takes.find(({ number }) => number === shown);
  const doubts = useMemo(() => (reading === null ? [] : doubtsOf(reading)), [reading]);
  const wanted = takes.filter(({ isWanted, state }) => isWanted && state === "whole");
  const isCombining = wanted.length > 1 && takes.length > 1;
  const isReady = take !== undefined && take.state !== "refused" && take.sampleRateHz > 0;

  // biome-ignore lint/correctness/useExhaustiveDependencies: another recording begins with its whole length and nothing picked
  useEffect(() => {
    setPicked(-1);
    setChannel(0);
    setLearned(null);
    control.showWhole();
  }, [shown, control]);

  const content = useMemo<StripContent | null>(
    () =>
      take === undefined || !isReady
        ? null
        : {
            take,
            channel: Math.min(channel, take.channelCount - 1),
            reading,
            doubts,
            notation,
            picked,
            expected: scheme === undefined ? [] : expectedCycles(scheme),
          },
    [take, isReady, channel, reading, doubts, notation, picked, scheme],
  );

  const read = async (): Promise<void> => {
    if (take === undefined || scheme === undefined) return;
    const numbers = isCombining ? wanted.map(({ number }) => number) : [take.number];
    const words = isCombining ? `Reading and combining ${numbers.length} recordings` : "Reading the tape";
    const outcome = await desk.run(words, { kind: "read", takes: numbers, scheme });
    setTrouble({ take: take.number, problems: outcome.problems });
    setPicked(-1);
    if (outcome.result?.kind !== "read") return;
    const made = outcome.result.reading;
    // The moments of the reading are those of one of the takes: that is the one to look at.
    const lead = numbers[made.timeline] ?? take.number;
    desk.show(lead);
    desk.reading.set(made);
    setTrouble({ take: lead, problems: made.problems });
    desk.readNames.set(numbers.map((number) => takes.find((one) => one.number === number)?.name ?? ""));
  };
  const learn = async (): Promise<void> => {
    if (take === undefined) return;
    const outcome = await desk.run("Learning the scheme", { kind: "learn", take: take.number });
    setTrouble({ take: take.number, problems: outcome.problems });
    if (outcome.result?.kind === "learn") setLearned(outcome.result.learned);
  };
  const open = (files: FileList | null): void => {
    for (const one of files ?? []) desk.open(one);
  };
  const pick = (byte: number): void => {
    setPicked(byte);
    if (reading === null || byte < 0) return;
    const start = reading.startSeconds[byte] ?? 0;
    const end = reading.endSeconds[byte] ?? start;
    const view = control.get();
    const isIn =
      start >= view.startSeconds && end <= view.startSeconds + view.secondsPerPixel * control.reach.width;
    if (!isIn || (end - start) / view.secondsPerPixel < 24) control.frame(start, end, 0.18);
  };
  const drop = (event: DragEvent): void => {
    event.preventDefault();
    setIsOver(false);
    open(event.dataTransfer.files);
  };

  return (
    <main
      className="tape"
      data-over={isOver || undefined}
      onDragOver={(event) => {
        event.preventDefault();
        setIsOver(true);
      }}
      onDragLeave={() => setIsOver(false)}
      onDrop={drop}
    >
      <PageHead title="Tape" below={take?.name ?? "recordings in, programs out"} />
      <h1 className="only-heard">Tape</h1>
      <section className="deck" aria-label="Desk">
        <div className="deck-in">
          <button
            type="button"
            className="deck-record"
            aria-expanded={isRecording}
            onClick={() => setIsRecording(!isRecording)}
          >
            <span className="record-dot" aria-hidden="true" />
            Record
          </button>
          <button type="button" className="slab-button" onClick={() => file.current?.click()}>
            Open recordings
          </button>
          <input
            ref={file}
            type="file"
            multiple
            className="recording-files"
            hidden
            accept=".wav,.flac,.mp3,.ogg,audio/*"
            onChange={({ target }) => {
              open(target.files);
              target.value = "";
            }}
          />
        </div>
        <SchemeChoice
          scheme={scheme}
          onScheme={lastScheme.set}
          onLearn={() => void learn()}
          canLearn={isReady}
        />
        <button
          type="button"
          className="main-button deck-read"
          disabled={!isReady || take?.state !== "whole" || scheme === undefined}
          onClick={() => void read()}
        >
          {isCombining ? `Combine ${wanted.length} and read` : "Read the tape"}
        </button>
        {isRecording &&
          (hasRecorder() ? <RecordPanel onClose={() => setIsRecording(false)} /> : <NoRecorder />)}
        {takes.length > 0 && <TakeList takes={takes} />}
        <WorkBar />
      </section>
      <Problems problems={[...(take?.problems ?? []), ...(trouble.take === shown ? trouble.problems : [])]} />
      {learned !== null && (
        <Learned
          learned={learned}
          onTake={(found) => {
            desk.addScheme(found);
            lastScheme.set(found.id);
            setLearned(null);
          }}
          onClose={() => setLearned(null)}
        />
      )}
      {content === null ? (
        <p className="tape-empty">
          Record from the deck's line output, or open a WAV, FLAC, MP3 or Ogg file. The recording then lies
          here from end to end, down to single cycles.
        </p>
      ) : (
        <Strip control={control} content={content} onPick={setPicked} onChannel={setChannel} />
      )}
      {reading !== null && (
        <div className="tape-below">
          <ByteList
            reading={reading}
            control={control}
            notation={notation}
            onNotation={setNotation}
            picked={picked}
            onPick={pick}
          />
          <Findings
            reading={reading}
            takeNames={names}
            onFrame={(from, to) => control.frame(from, to)}
            onPick={pick}
            onRepair={(block) => desk.reading.set(withRepair(reading, block))}
          />
        </div>
      )}
      {scheme !== undefined && (
        <MakePanel reading={reading} name={take?.name ?? "tape"} recordings={names} scheme={scheme} />
      )}
    </main>
  );
}

import { type DragEvent, type ReactNode, useRef, useState } from "react";
import { z } from "zod";
import "./deck.css";
import type { MeasureOptions } from "../../core/deck/reading.js";
import { createKeepsake } from "../state/keepsakes.js";
import { useStore } from "../state/store.js";
import { Problems } from "../tape/parts/problems.jsx";
import { hasRecorder, NoRecorder } from "../tape/record/record-panel.jsx";
import { PageHead } from "../ui/page-head.jsx";
import { BeltPanel, CarePanel, KeepPanel, ToneMaker } from "./bench-work.jsx";
import { SpectrumChart, SpeedChart } from "./charts.jsx";
import { Listening } from "./listening.jsx";
import { knownLimits, mechanism } from "./mechanism.js";
import { Figures, ResponseTable, VerdictPanel } from "./readings.jsx";

/** The limits that were chosen last on this device. */
const lastLimits = createKeepsake("deck-limits", z.string(), "data-recorder");

/** The deck page: a recording of a reference tone in, speed, flutter, their causes and a verdict out. */
export function DeckPage(): ReactNode {
  const desk = mechanism();
  const measured = useStore(desk.measured);
  const work = useStore(desk.work);
  const limitsId = useStore(lastLimits);
  const [isListening, setIsListening] = useState(false);
  const [tone, setTone] = useState("");
  const [isOwn, setIsOwn] = useState(false);
  const [capstan, setCapstan] = useState("");
  const [isOver, setIsOver] = useState(false);
  const file = useRef<HTMLInputElement>(null);
  const sets = knownLimits();
  const limits = sets.find(({ id }) => id === limitsId) ?? sets[0];
  const options = optionsOf(tone, isOwn, capstan);
  const reading = measured?.reading;

  const change = (next: { tone?: string; isOwn?: boolean; capstan?: string }): void => {
    setTone(next.tone ?? tone);
    setIsOwn(next.isOwn ?? isOwn);
    setCapstan(next.capstan ?? capstan);
    desk.measureAgain(optionsOf(next.tone ?? tone, next.isOwn ?? isOwn, next.capstan ?? capstan));
  };
  const drop = (event: DragEvent): void => {
    event.preventDefault();
    setIsOver(false);
    const [first] = event.dataTransfer.files;
    if (first !== undefined) desk.open(first, options);
  };

  return (
    <main
      className="mech"
      data-over={isOver || undefined}
      onDragOver={(event) => {
        event.preventDefault();
        setIsOver(true);
      }}
      onDragLeave={() => setIsOver(false)}
      onDrop={drop}
    >
      <PageHead title="Deck" below={measured?.name ?? "speed, flutter, head"} />
      <h1 className="only-heard">Deck</h1>
      <section className="mech-desk" aria-label="What is measured">
        <div className="mech-actions">
          <button
            type="button"
            className="slab-button"
            aria-expanded={isListening}
            onClick={() => setIsListening(!isListening)}
          >
            Listen to the deck
          </button>
          <button type="button" className="slab-button" onClick={() => file.current?.click()}>
            Open a recording
          </button>
          <input
            ref={file}
            type="file"
            hidden
            className="mech-file"
            accept=".wav,.flac,.mp3,.ogg,audio/*"
            onChange={({ target }) => {
              const [first] = target.files ?? [];
              if (first !== undefined) desk.open(first, options);
              target.value = "";
            }}
          />
        </div>
        <label className="field">
          <span>Tone on the tape</span>
          <select value={tone} onChange={({ target }) => change({ tone: target.value })}>
            <option value="">the nearer one</option>
            <option value="3150">3150 Hz</option>
            <option value="3000">3000 Hz</option>
          </select>
        </label>
        <label className="field field-short">
          <span>Capstan, mm</span>
          <input
            inputMode="decimal"
            value={capstan}
            placeholder="usual"
            onChange={({ target }) => change({ capstan: target.value })}
          />
        </label>
        <label className="mech-own">
          <input
            type="checkbox"
            checked={isOwn}
            onChange={({ target }) => change({ isOwn: target.checked })}
          />
          <span>Recorded on this deck</span>
        </label>
        {isListening &&
          (hasRecorder() ? (
            <Listening options={options} onClose={() => setIsListening(false)} />
          ) : (
            <NoRecorder />
          ))}
        <p className="mech-work" role="status">
          {work}
        </p>
      </section>
      {measured !== null && <Problems problems={measured.problems} />}
      {reading === undefined || limits === undefined ? (
        <p className="mech-empty">
          Play a tape with a tone of 3150 or 3000 Hz and listen to it here, or open a recording of it. Thirty
          seconds make a good reading.
        </p>
      ) : (
        <>
          <Figures reading={reading} />
          <div className="mech-two">
            <VerdictPanel reading={reading} sets={sets} chosen={limits} onChoose={lastLimits.set} />
            <div>
              <SpectrumChart reading={reading} />
              <SpeedChart reading={reading} />
            </div>
          </div>
          <ResponseTable reading={reading} />
          {measured !== null && <KeepPanel measured={measured} limits={limits} />}
        </>
      )}
      <div className="mech-more">
        <ToneMaker />
        <BeltPanel />
        <CarePanel />
      </div>
    </main>
  );
}

function optionsOf(tone: string, isOwnRecording: boolean, capstan: string): MeasureOptions {
  const toneHz = Number(tone);
  const capstanMillimetres = Number(capstan.replace(",", "."));
  return {
    isOwnRecording,
    ...(toneHz > 0 ? { toneHz } : {}),
    ...(capstanMillimetres > 0.5 && capstanMillimetres < 20 ? { geometry: { capstanMillimetres } } : {}),
  };
}

import tapAddress from "./recorder-worklet.ts?worker&url";

/** What the recorder hears. */
export interface Heard {
  readonly channels: readonly Float32Array[];
  /** Largest sample of each channel, 1 at full scale. */
  readonly peaks: readonly number[];
  /** Root mean square of each channel. */
  readonly levels: readonly number[];
  /** Samples at full scale. */
  readonly clipped: number;
}

/** An input that can be chosen. */
export interface Input {
  readonly id: string;
  readonly label: string;
}

/** A sound at or above this counts as clipped: a converter's last step is not always reached. */
const clippingLevel = 0.985;

/** True where the browser lets this page record: on the local machine or by https. */
export function canRecord(): boolean {
  return isSecureContext && navigator.mediaDevices !== undefined;
}

/** Inputs by name; names are empty until recording has been allowed once. */
export async function listInputs(): Promise<Input[]> {
  const devices = await navigator.mediaDevices.enumerateDevices();
  return devices
    .filter(({ kind }) => kind === "audioinput")
    .map(({ deviceId, label }, i) => ({ id: deviceId, label: label === "" ? `Input ${i + 1}` : label }));
}

/** A running input. The signal comes as the converter gives it: nothing cancels, suppresses or levels it. */
export class Recorder {
  readonly sampleRateHz: number;
  readonly channelCount: number;
  /** What the browser does to the signal all the same, in words; empty as it should be. */
  readonly meddling: readonly string[];
  private readonly context: AudioContext;
  private readonly stream: MediaStream;

  private constructor(context: AudioContext, stream: MediaStream) {
    this.context = context;
    this.stream = stream;
    this.sampleRateHz = context.sampleRate;
    const settings = stream.getAudioTracks()[0]?.getSettings() ?? {};
    this.channelCount = Math.min(2, settings.channelCount ?? 1);
    this.meddling = [
      settings.echoCancellation === true ? "echo cancelling" : "",
      settings.noiseSuppression === true ? "noise suppression" : "",
      settings.autoGainControl === true ? "automatic gain" : "",
    ].filter((word) => word !== "");
  }

  /** Asks for the input and begins to listen. Throws what the browser throws if it is refused. */
  static async open(input: string | undefined, onHeard: (heard: Heard) => void): Promise<Recorder> {
    const stream = await navigator.mediaDevices.getUserMedia({
      audio: {
        ...(input === undefined ? {} : { deviceId: { exact: input } }),
        echoCancellation: false,
        noiseSuppression: false,
        autoGainControl: false,
        channelCount: { ideal: 2 },
      },
    });
    const context = new AudioContext();
    try {
      await context.audioWorklet.addModule(tapAddress);
      const recorder = new Recorder(context, stream);
      const tap = new AudioWorkletNode(context, "boardwake-tap", {
        numberOfOutputs: 0,
        channelCount: recorder.channelCount,
        channelCountMode: "explicit",
      });
      tap.port.onmessage = ({ data }: MessageEvent<Float32Array[]>) => onHeard(measure(data));
      context.createMediaStreamSource(stream).connect(tap);
      await context.resume();
      return recorder;
    } catch (cause) {
      for (const track of stream.getTracks()) track.stop();
      await context.close();
      throw cause;
    }
  }

  /** Lets go of the input. */
  async close(): Promise<void> {
    for (const track of this.stream.getTracks()) track.stop();
    await this.context.close();
  }
}

/** Peaks, levels and clipping of a piece. */
export function measure(channels: readonly Float32Array[]): Heard {
  let clipped = 0;
  const peaks: number[] = [];
  const levels: number[] = [];
  for (const samples of channels) {
    let peak = 0;
    let sum = 0;
    for (const sample of samples) {
      const size = Math.abs(sample);
      if (size > peak) peak = size;
      if (size >= clippingLevel) clipped += 1;
      sum += sample * sample;
    }
    peaks.push(peak);
    levels.push(Math.sqrt(sum / Math.max(1, samples.length)));
  }
  return { channels, peaks, levels, clipped };
}

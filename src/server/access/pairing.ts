import { createHash, randomBytes, randomInt, randomUUID, timingSafeEqual } from "node:crypto";
import type { JobStore, StoredDevice } from "../../app/passed-in.js";
import { BoardwakeError } from "../../core/base/errors.js";

/** Letters and digits that nobody mistakes for one another. */
const alphabet = "ABCDEFGHJKMNPQRSTUVWXYZ23456789";
const codeLength = 8;
const triesPerCode = 5;
const firstPauseMinutes = 1;
const longestPauseMinutes = 15;
const keptDays = 30;
const touchedEveryMinutes = 10;
const minuteMilliseconds = 60_000;

/**
 * Pairs devices with a shared bench: a code that is good for one device, few tries, and for each device a key that it
 * keeps in a cookie and of which only a hash is stored.
 */
export class Pairing {
  private readonly store: JobStore;
  private readonly now: () => number;
  private currentCode = makeCode();
  private wrongTries = 0;
  private pauses = 0;
  private pausedUntil = 0;
  /** Called when the code has changed, with the label of the device that used the last one, if one did. */
  onNewCode: (pairedLabel: string | undefined) => void = () => {};

  /** `now` in milliseconds since 1970. */
  constructor(store: JobStore, now: () => number) {
    this.store = store;
    this.now = now;
  }

  /** The code for the next device. */
  get code(): string {
    return this.currentCode;
  }

  /**
   * Pairs a device and returns its key; the code is then another one. Throws `code-wrong`, and `tries-used-up` after
   * five wrong codes: then the code is another one too, and the pause doubles each time.
   */
  pair(code: string, label: string): { readonly device: StoredDevice; readonly key: string } {
    this.checkPause();
    if (!isEqual(plain(code), plain(this.currentCode))) throw this.wrong();
    const key = randomBytes(32).toString("base64url");
    const at = new Date(this.now()).toISOString();
    const device = { id: randomUUID(), label, pairedAt: at, seenAt: at };
    this.store.change((write) => write.addDevice({ ...device, keyHash: hashOf(key) }));
    this.currentCode = makeCode();
    this.wrongTries = 0;
    this.pauses = 0;
    this.onNewCode(label);
    return { device, key };
  }

  /** The device of a key; undefined if it was let go or has not been seen for 30 days. */
  deviceOf(key: string | undefined): StoredDevice | undefined {
    if (key === undefined || key.length > 100) return undefined;
    const device = this.store.deviceOf(hashOf(key));
    if (device === undefined) return undefined;
    const unseen = this.now() - Date.parse(device.seenAt);
    if (unseen > keptDays * 24 * 60 * minuteMilliseconds) {
      this.store.change((write) => write.removeDevice(device.id));
      return undefined;
    }
    if (unseen > touchedEveryMinutes * minuteMilliseconds) {
      const seenAt = new Date(this.now()).toISOString();
      this.store.change((write) => write.touchDevice(device.id, seenAt));
    }
    return device;
  }

  devices(): StoredDevice[] {
    return this.store.devices();
  }

  /** Lets a device go. Throws `device-unknown`. */
  end(id: string): void {
    if (!this.store.change((write) => write.removeDevice(id)))
      throw new BoardwakeError("device-unknown", { device: id });
  }

  private checkPause(): void {
    const left = this.pausedUntil - this.now();
    if (left > 0) throw usedUp(left);
  }

  private wrong(): BoardwakeError {
    this.wrongTries += 1;
    const left = triesPerCode - this.wrongTries;
    if (left > 0)
      return new BoardwakeError("code-wrong", { left: left === 1 ? "one try is" : `${left} tries are` });
    const minutes = Math.min(longestPauseMinutes, firstPauseMinutes * 2 ** this.pauses);
    this.pauses += 1;
    this.wrongTries = 0;
    this.currentCode = makeCode();
    this.pausedUntil = this.now() + minutes * minuteMilliseconds;
    this.onNewCode(undefined);
    return usedUp(minutes * minuteMilliseconds);
  }
}

function usedUp(milliseconds: number): BoardwakeError {
  const minutes = Math.ceil(milliseconds / minuteMilliseconds);
  return new BoardwakeError("tries-used-up", { minutes: minutes === 1 ? "a minute" : `${minutes} minutes` });
}

function makeCode(): string {
  const letters = Array.from({ length: codeLength }, () => alphabet[randomInt(alphabet.length)] ?? "A");
  return `${letters.slice(0, 4).join("")}-${letters.slice(4).join("")}`;
}

/** Without blanks, dashes and case, which people type as they like. */
function plain(code: string): string {
  return code.toUpperCase().replace(/[^A-Z0-9]/g, "");
}

function isEqual(a: string, b: string): boolean {
  return timingSafeEqual(createHash("sha256").update(a).digest(), createHash("sha256").update(b).digest());
}

function hashOf(key: string): string {
  return createHash("sha256").update(key).digest("hex");
}

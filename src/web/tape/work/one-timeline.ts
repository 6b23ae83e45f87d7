/** Beginning and end of each byte of a tape that was put together from several takes. */
export interface ByteTimes {
  readonly startSeconds: Float64Array;
  readonly endSeconds: Float64Array;
}

/**
 * Moves the moments of bytes that other takes gave onto the time of take `take`: they are spread evenly between the
 * nearest bytes of that take on either side; before its first and after its last byte they keep their own lengths.
 */
export function onOneTimeline(times: ByteTimes, source: Uint8Array, take: number): ByteTimes {
  const startSeconds = times.startSeconds.slice();
  const endSeconds = times.endSeconds.slice();
  const count = startSeconds.length;
  const first = source.indexOf(take);
  if (first < 0) return times;
  const lengthOf = (i: number): number => (times.endSeconds[i] ?? 0) - (times.startSeconds[i] ?? 0);
  for (let i = first - 1; i >= 0; i -= 1) {
    endSeconds[i] = startSeconds[i + 1] ?? 0;
    startSeconds[i] = (endSeconds[i] ?? 0) - lengthOf(i);
  }
  let last = first;
  for (let i = first + 1; i <= count; i += 1) {
    if (i < count && source[i] !== take) continue;
    const from = endSeconds[last] ?? 0;
    const between = i - last - 1;
    if (i === count) {
      for (let k = last + 1; k < count; k += 1) {
        startSeconds[k] = endSeconds[k - 1] ?? 0;
        endSeconds[k] = (startSeconds[k] ?? 0) + lengthOf(k);
      }
      break;
    }
    const step = ((startSeconds[i] ?? 0) - from) / Math.max(1, between);
    for (let k = 0; k < between; k += 1) {
      startSeconds[last + 1 + k] = from + k * step;
      endSeconds[last + 1 + k] = from + (k + 1) * step;
    }
    last = i;
  }
  return { startSeconds, endSeconds };
}

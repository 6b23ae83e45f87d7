/** Sorts short lists of positive numbers over and over without allocating. */
export interface BucketOrder {
  /**
   * Positions 0 to `count` - 1 of `key` by falling key, in a buffer that the next call overwrites. Keys are not
   * negative.
   */
  sort(key: Float64Array, count: number): Int32Array;
}

// A float's exponent and its first three fraction bits: eight buckets for each doubling.
const bucketShift = 20;
const bucketCount = 128;

/**
 * Counting sort on the leading bits of the keys, then insertion sort, which finds almost everything in place. About
 * linear; an ordinary sort is several times slower on a few hundred entries. Keys smaller than 2^-16 of the largest
 * share one bucket.
 */
export function createBucketOrder(capacity: number): BucketOrder {
  const float = new Float32Array(1);
  const bits = new Int32Array(float.buffer);
  const bucketOf = new Uint8Array(capacity);
  const start = new Int32Array(bucketCount + 1);
  const sortedKey = new Float64Array(capacity);
  const sorted = new Int32Array(capacity);

  const spread = (key: Float64Array, count: number): void => {
    let largest = 0;
    for (let i = 0; i < count; i += 1) {
      const k = key[i] ?? 0;
      if (k > largest) largest = k;
    }
    float[0] = largest;
    const top = (bits[0] ?? 0) >>> bucketShift;
    start.fill(0);
    for (let i = 0; i < count; i += 1) {
      float[0] = key[i] ?? 0;
      const below = top - ((bits[0] ?? 0) >>> bucketShift);
      const bucket = below < bucketCount ? below : bucketCount - 1;
      bucketOf[i] = bucket;
      start[bucket + 1] = (start[bucket + 1] ?? 0) + 1;
    }
    for (let bucket = 1; bucket < bucketCount; bucket += 1) {
      start[bucket] = (start[bucket] ?? 0) + (start[bucket - 1] ?? 0);
    }
    for (let i = 0; i < count; i += 1) {
      const bucket = bucketOf[i] ?? 0;
      const at = start[bucket] ?? 0;
      start[bucket] = at + 1;
      sortedKey[at] = key[i] ?? 0;
      sorted[at] = i;
    }
  };

  return {
    sort(key, count) {
      if (count > shortRun) spread(key, count);
      else {
        for (let i = 0; i < count; i += 1) {
          sortedKey[i] = key[i] ?? 0;
          sorted[i] = i;
        }
      }
      for (let i = 1; i < count; i += 1) {
        const k = sortedKey[i] ?? 0;
        if ((sortedKey[i - 1] ?? 0) >= k) continue;
        const position = sorted[i] ?? 0;
        let j = i - 1;
        while (j >= 0 && (sortedKey[j] ?? 0) < k) {
          sortedKey[j + 1] = sortedKey[j] ?? 0;
          sorted[j + 1] = sorted[j] ?? 0;
          j -= 1;
        }
        sortedKey[j + 1] = k;
        sorted[j + 1] = position;
      }
      return sorted;
    },
  };
}

/** Below this many entries insertion sort alone wins. */
const shortRun = 16;

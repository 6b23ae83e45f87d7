/*
 * Why: the page is opened on a tablet over the local network; this says what it weighs as it is sent, file by file. A
 * test holds the sum of what the first page needs below its bound; pages that are fetched when they are opened are counted
 * apart. Needs the built page.
 */
import { readPageFiles } from "./support/page-files.js";

const files = readPageFiles()
  .map(({ address, sentBytes, bytes, isFirst }) => ({
    address,
    sentBytes,
    wholeBytes: bytes.length,
    isFirst,
  }))
  .sort((a, b) => b.sentBytes - a.sentBytes);
const sum = (first: boolean): number =>
  files.filter(({ isFirst }) => isFirst === first).reduce((bytes, file) => bytes + file.sentBytes, 0);
console.log(JSON.stringify({ totalSentBytes: sum(true), laterSentBytes: sum(false), files }));

// What a page does to work while the server is away, and what to say where the
// browser will not allow it.

/** ready registers the worker and asks that what is kept stays. It answers with what is missing, '' when nothing is. */
export async function ready(path, { secure = globalThis.isSecureContext, workers = globalThis.navigator?.serviceWorker, storage = globalThis.navigator?.storage } = {}) {
  storage?.persist?.().catch(() => {}); // refused: what is kept may be cleared when the tablet is full
  if (!secure || !workers) {
    return 'This page is not opened over a trusted line: keep it open while the office is away, a reload would fail then.';
  }
  try {
    await workers.register('/floor-worker.js', { scope: path });
    return '';
  } catch {
    return 'This page could not be kept on the tablet: keep it open while the office is away.';
  }
}

// The deciding half of waiting for a search, free of the page.

/** Asks every two seconds whether the search is over, for some minutes; false where it gives up. An answer that does not come is asked for again. */
export async function over({ ask, wait, times = 150 }) {
  for (let i = 0; i < times; i++) {
    await wait(2000);
    try {
      if (!(await ask()).searching) return true;
    } catch {
      // The network or the server is away for a moment.
    }
  }
  return false;
}

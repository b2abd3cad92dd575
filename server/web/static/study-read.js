// What a study's page says to what was typed, free of the page.

/** said is null where the reading goes off, '' where nothing is to be said, or what is wrong. */
export function said(read, sent) {
  if (sent) return ''; // The first is on its way.
  if (read.ok) return null;
  return read.reason === '' ? 'Type a reading first' : read.reason;
}

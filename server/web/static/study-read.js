// What a study's page says to what was typed, free of the page.

/** said is '' where the reading goes off, or what is wrong with it. */
export function said(read) {
  if (read.ok) return '';
  return read.reason || 'Type a reading first';
}

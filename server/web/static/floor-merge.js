// Taking a draft back after somebody else saved it: what this tablet had read
// and not yet saved is kept where the other left a gap.

/** mergeUnsaved puts answers of mine into theirs where theirs has none; lost is what could not be saved. */
export function mergeUnsaved(theirs, mine, lost) {
  if (!lost) return theirs;
  const values = { ...theirs.values };
  for (const [key, value] of Object.entries(mine.values)) if (!values[key]) values[key] = value;
  return { ...theirs, values };
}

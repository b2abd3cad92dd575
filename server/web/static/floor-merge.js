// Taking a draft back after somebody else saved it: what this tablet had read
// and not yet saved is kept where the other left a gap.

/**
 * mergeUnsaved puts into theirs those answers of mine that were never saved;
 * saved are the values of my last save. What the other took back stays so.
 */
export function mergeUnsaved(theirs, mine, saved) {
  const values = { ...theirs.values };
  for (const [key, value] of Object.entries(mine)) {
    if (!values[key] && saved[key]?.text !== value.text) values[key] = value;
  }
  return { ...theirs, values };
}

/**
 * Counted up whenever this version learns a kind, a field or a limit of entries. Each side tells the other its own
 * (`me.version`): what was refused for its form, or could not be read, is asked again when either changes.
 */
export const wireVersion = 4;

/** A name that every system takes for a file handed out. */
export const fileName = (words: string): string => words.replaceAll(/[\\/:*?"<>|]/g, '-');

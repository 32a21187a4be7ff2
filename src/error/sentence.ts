/** From an error to what a person reads. What a browser or a library says of an error never reaches anyone. */

/** An error whose message is written for people: one plain sentence, or the part of one that its thrower says. */
export class SentenceError extends Error {
  readonly code: string;
  constructor(code: string, message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = 'SentenceError';
    this.code = code;
  }

  /** Whole, for a place where nothing else is said. */
  get sentence(): string {
    return this.message;
  }
}

const unknown =
  'Something went wrong that Fairpeg has no word for; what was kept before is safe. Try once more, and open the app again if it stays so.';

const noRoom =
  'There is no room left on this tablet; what was kept before is safe. Make room, then try again.';
const fileGone = 'A file cannot be read any more. Choose it again.';
const notAllowed =
  'The browser does not allow this here. Look at its settings for this site, then try again.';
const noNetwork =
  'It could not be fetched; what is kept on this tablet is safe. Try again when there is a network.';
const busy = 'The tablet was busy with it elsewhere. Try again.';

/** By the name of a `DOMException` (Web IDL, table of error names), or of an error of the language. */
const byName: Readonly<Record<string, string>> = {
  QuotaExceededError: noRoom,
  NotFoundError: fileGone,
  NotReadableError: fileGone,
  NotAllowedError: notAllowed,
  SecurityError: notAllowed,
  NetworkError: noNetwork,
  TimeoutError: 'It took too long. Try again.',
  AbortError: 'It was stopped.',
  EncodingError: 'A picture could not be read. Export it again as PNG.',
  NoModificationAllowedError: busy,
  InvalidStateError: busy,
  TransactionInactiveError: busy,
  RangeError: 'There was no memory left for it. Close other pages, then try again.',
};

/** How browsers tell, as a TypeError, that a request or a late part of the app did not come. */
const notFetched = /fetch|load failed|network|dynamically imported module|module script/i;

function ofSystem(error: unknown): string | undefined {
  if (!(error instanceof Error)) return undefined;
  if (error instanceof TypeError) return notFetched.test(error.message) ? noNetwork : undefined;
  return byName[error.name];
}

/** What a person reads of it. `otherwise` where Fairpeg has no word of its own: what happened, what is safe, what to do. */
export function sentenceOf(error: unknown, otherwise = unknown): string {
  return error instanceof SentenceError ? error.sentence : (ofSystem(error) ?? otherwise);
}

/** The same to go on a sentence that was begun (`could not be measured: …`), without what to do and without its stop. */
export function reasonOf(error: unknown, otherwise = 'it stopped in the middle'): string {
  const words = error instanceof SentenceError ? error.message : ofSystem(error);
  if (words === undefined) return otherwise;
  const first = words.replace(/[.;].*$/s, '');
  return error instanceof SentenceError
    ? words.replace(/\.$/, '')
    : first.charAt(0).toLowerCase() + first.slice(1);
}

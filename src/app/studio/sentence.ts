export const sentenceOf = (error: unknown): string =>
  error instanceof Error && error.message ? error.message : 'Something went wrong.';

/** Who may come in to the studio server. */
export async function run(args: readonly string[]): Promise<number> {
  const { passes } = await import('../server/passes-command.ts');
  return passes(args);
}

/** What a studio keeps, from a file into a database and back. */
export async function run(args: readonly string[]): Promise<number> {
  const { move } = await import('../server/move-command.ts');
  return move(args);
}

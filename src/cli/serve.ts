/** The studio server's own entry; loaded here so that the other commands start without it. */
export async function run(args: readonly string[]): Promise<number> {
  const server = await import('../server/main.ts');
  return server.serve(args);
}

/** Files as a page gets them: from a picker, a drop, a folder. */
import type { InputFile } from './source.ts';

/** Files of an `<input>` (many files or a folder), of a share, or any list of files. */
export function filesFromList(list: Iterable<File>): InputFile[] {
  return [...list].map((file) => inputFile(file.webkitRelativePath || file.name, file));
}

function inputFile(path: string, file: File): InputFile {
  return {
    path,
    source: {
      byteLength: file.size,
      read: async (start, end) => new Uint8Array(await file.slice(start, end).arrayBuffer()),
    },
  };
}

/**
 * Everything dropped, folders walked. Call it within the drop event: what was dropped is forgotten once the
 * event is over.
 */
export async function filesFromDrop(data: DataTransfer): Promise<InputFile[]> {
  const entries = [...data.items].flatMap((item) => item.webkitGetAsEntry() ?? []);
  if (entries.length === 0) return filesFromList(data.files);
  return (await Promise.all(entries.map((entry) => walkEntry(entry)))).flat();
}

async function walkEntry(entry: FileSystemEntry): Promise<InputFile[]> {
  const path = entry.fullPath.replace(/^\//, '');
  if (entry.isFile) {
    const file = await new Promise<File>((resolve, reject) => {
      (entry as FileSystemFileEntry).file(resolve, reject);
    }).catch((error: unknown) => error);
    return [file instanceof File ? inputFile(path, file) : unreadable(path, file)];
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const found: InputFile[] = [];
  // A folder is handed out a hundred entries at a time, until a call brings none.
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => {
      reader.readEntries(resolve, reject);
    });
    if (some.length === 0) return found;
    for (const inner of some) found.push(...(await walkEntry(inner)));
  }
}

/** A file that cannot be opened is still offered, so that it is named among those not taken. */
function unreadable(path: string, error: unknown): InputFile {
  return { path, source: { byteLength: 1, read: () => Promise.reject(error) } };
}

/** A folder picked with `showDirectoryPicker`, walked. */
export async function filesFromDirectory(handle: FileSystemDirectoryHandle): Promise<InputFile[]> {
  const found: InputFile[] = [];
  for await (const inner of handle.values()) {
    const path = `${handle.name}/${inner.name}`;
    if (inner.kind === 'file') found.push(inputFile(path, await inner.getFile()));
    else {
      const files = await filesFromDirectory(inner);
      found.push(...files.map(({ path, source }) => ({ path: `${handle.name}/${path}`, source })));
    }
  }
  return found;
}

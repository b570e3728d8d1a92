// Files and folders that are dropped on the page.
import { say } from "./state.js";
import { open } from "./work.js";

/// The files of a folder that was dropped, with their paths.
async function within(entry, path, found) {
  const name = path ? `${path}/${entry.name}` : entry.name;
  if (entry.isFile) {
    const file = await new Promise((resolve) => entry.file(resolve, () => resolve(undefined)));
    if (file) found.push({ name, file });
    return;
  }
  const reader = entry.createReader();
  for (;;) {
    const some = await new Promise((resolve) => reader.readEntries(resolve, () => resolve([])));
    if (some.length === 0) return;
    for (const one of some) await within(one, name, found);
  }
}

export async function dropped(transfer) {
  const entries = [...(transfer.items ?? [])].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  const files = [...transfer.files].map((file) => ({ name: file.name, file }));
  if (!entries.some((entry) => entry.isDirectory)) return open(files, true);
  const found = [];
  say("The folder is searched");
  for (const entry of entries) await within(entry, "", found);
  return open(found, false);
}

"""What the workers give back, kept on disk as it comes and put together in order at the end."""

import json
import os
import shutil

import tracearm_batches as batches


def refuse_other_run(folder):
    """Refuses a folder that holds results: parts of two runs would be taken for one library."""
    for name in sorted(os.listdir(folder)) if folder.exists() else []:
        if name in (".pieces", "schedule.csv", "messages.txt") or name.startswith("part-"):
            raise ValueError(f"{folder} holds {name} of another run: name a new folder after --to, or clear it")


def standing(folder):
    """What stands in the folder of a run that was stopped, and what to do next."""
    if (folder / "schedule.csv").exists():
        return f"{folder / 'schedule.csv'} is complete"
    if not (folder / ".pieces").exists():
        return "nothing was measured yet: start it again"
    parts = len(list(folder.glob("part-*.parquet")))
    return (
        f"the parts so far ({parts}) stay in {folder}, there is no schedule: "
        "start again with a new folder after --to, or clear this one"
    )


class Pieces:
    """The folder of results: a part of Parquet for each batch, and in the end one schedule and the messages."""

    def __init__(self, folder, many):
        refuse_other_run(folder)
        self.folder, self.many = folder, many
        self.digits = max(5, len(str(many - 1)))
        self.headings = None
        self.pending = folder / ".pieces"
        self.pending.mkdir(parents=True)

    def fits(self, batch):
        """Whether a batch has the columns of those before it."""
        return self.headings is None or batch["headings"] is None or batch["headings"] == self.headings

    def keep(self, number, batch):
        """Keeps what a batch gave."""
        if batch["headings"] is not None:
            self.headings = self.headings or batch["headings"]
            self.piece(number, "csv").write_bytes(batch["csv"])
            self.write_part(number, batch["part"])
        else:
            self.piece(number, "json").write_text(json.dumps(batch["rows"]))
        self.piece(number, "count").write_text(str(batch["count"]))
        self.piece(number, "txt").write_bytes(batch["messages"].encode("utf-8", "replace"))

    def finish(self, complaints):
        """Puts the pieces together; gives the number of rows."""
        with written(self.folder / "messages.txt") as out:
            out.write("".join(f"{complaint}\n" for complaint in complaints).encode("utf-8", "replace"))
            for number in range(self.many):
                copy(self.piece(number, "txt"), out)
        rows = 0
        if self.headings is not None:
            for number in range(self.many):
                self.give_headings(number)
                rows += int(self.piece(number, "count").read_text())
        if rows > 0:
            with written(self.folder / "schedule.csv") as out:
                out.write(batches.record(self.headings).encode())
                for number in range(self.many):
                    copy(self.piece(number, "csv"), out)
        shutil.rmtree(self.pending)
        return rows

    def give_headings(self, number):
        """Writes a batch that had no headings of its own."""
        waiting = self.piece(number, "json")
        if waiting.exists():
            csv, part = batches.encoded(self.headings, json.loads(waiting.read_text()))
            self.piece(number, "csv").write_bytes(csv)
            self.write_part(number, part)

    def piece(self, number, kind):
        """The file of a batch until the end."""
        return self.pending / f"{number:0{self.digits}}.{kind}"

    def write_part(self, number, part):
        """Writes a part of Parquet."""
        with written(self.folder / f"part-{number:0{self.digits}}.parquet") as out:
            out.write(part)


class written:
    """A file that takes its name when it is complete."""

    def __init__(self, path):
        self.path, self.beside = path, path.with_name(f".{path.name}.partial")

    def __enter__(self):
        self.file = open(self.beside, "wb")
        return self.file

    def __exit__(self, kind, error, trace):
        self.file.close()
        if kind is None:
            os.replace(self.beside, self.path)
        else:
            self.beside.unlink()


def copy(path, out):
    """Appends a file."""
    with open(path, "rb") as file:
        shutil.copyfileobj(file, out)

"""The main job from a program: a sheet in, tight spots and their cures out.

Run as a program it prints its results; imported, it only computes them.
"""

from linkage.advice import advise
from linkage.examine import examine
from linkage.report.cures import say_cure
from linkage.report.spots import say_spot
from linkage.report.voice import to_bench
from linkage.sheet import read_sheet
from linkage.sheet.ready import demonstration

sheet = read_sheet(demonstration())
voice = to_bench(sheet)  # how its lengths are said, in its own unit
examination = examine(sheet)
advice = advise(examination)
sentences = [say_spot(examination, item.spot) for item in advice]
cures = [[say_cure(cure, voice) for cure in item.cures] for item in advice]

if __name__ == "__main__":
    for sentence, remedies in zip(sentences, cures, strict=True):
        print(sentence)
        for remedy in remedies:
            print(f"   {remedy}")

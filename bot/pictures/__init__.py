"""Charts and diagrams. Plain values in; what is drawn, its PNG and the words that say what it shows out.

A drawing is a frozen value that holds every mark and label it will show, so that a card can carry it and a test can
recompute it. It becomes a PNG in a worker process, between card and sending. Pictures are made to be read on a phone: 360
points wide, no letter under 9 points, and colour never alone: a hatch, a shape or a word says the same.
"""

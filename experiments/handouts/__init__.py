"""Pages for the field: handout, drill, replay, animation.

handout      a page a situation, for print and as a web page
folders      the sheets of a handout from the folders of studies
answers      what was asked and found, in plain words
limits       when the answer stops being true
drill        the typical play, cones and cues of a drill
diagram      the play and the cones on the field
paper        the page as PDF
pages        HTML from templates, everything escaped
replay       the page that plays a rehearsal
animation    a tape as a GIF
contact_sheets  ten rehearsals on a sheet, for whoever doubts the game
"""

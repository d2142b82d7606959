"""Run rehearsals: by which processes, how many, and where they are kept.

engine          processes, folder, progress
tasks           what to rehearse, and what came of it
batch           rows and tapes of one situation
given_policies  policies given as Python objects
runner          the run of a study, chunk by chunk
precision       many situations on the same random draws, to a number or a wanted precision
progress        how far a run has come
workers         worker processes
cluster         workers on a cluster
store           the folder of a study
manifest        what the folder says of its study
identity        what makes two studies the same study
frames          tables packed as Parquet without losing a bit
columns         what the columns of tables mean
joined          the rehearsals of several studies in one table
disk            files written whole or not at all, disk errors in words
"""

create table device (
	id  integer primary key,
	key blob not null unique check (length(key) = 32) -- Ed25519 public key
) strict;

-- A line's id is device.id * 2^40 + seq: a device's lines lie together, in order,
-- and no number can be taken twice.
create table line (
	id     integer primary key,
	hash   blob not null check (length(hash) = 32), -- SHA-256 of stored
	stored text not null
) strict;

create table signed_head (
	device    integer primary key references device,
	programme blob not null check (length(programme) = 16),
	seq       integer not null,
	hash      blob not null check (length(hash) = 32),
	signature blob not null
) strict;

create table draft_step (
	id    integer primary key,
	draft blob not null check (length(draft) = 16),
	step  blob not null
) strict;

-- Who opened the notebook for writing last; writing.sqlite tells whether still.
create table writer (
	id    integer primary key check (id = 1),
	pid   integer not null,
	since text not null
) strict;

-- For whoever looks at the file with other tools.
create view lines as
	select device.key as device, line.id - (device.id << 40) as seq, line.hash, line.stored
	from line join device on device.id = line.id >> 40;

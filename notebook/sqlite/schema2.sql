-- The bytes of attachments.
create table blob (
	hash  blob primary key check (length(hash) = 32), -- SHA-256 of bytes
	bytes blob not null
) strict;

-- What has come of those that are not whole yet, in the order it came.
create table blob_part (
	id    integer primary key,
	hash  blob not null check (length(hash) = 32),
	bytes blob not null
) strict;

create index blob_part_hash on blob_part (hash);

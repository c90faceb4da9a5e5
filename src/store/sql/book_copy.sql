-- Writes the whole book, as it is at this moment, into a file that is not there yet.
VACUUM INTO ?1

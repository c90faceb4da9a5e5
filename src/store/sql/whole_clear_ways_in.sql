-- Ends the ways into a book that is still empty: they are of people who make way.
DELETE FROM sign_in_link;
DELETE FROM session;

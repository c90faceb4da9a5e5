-- How many messages could not be handled, and how many were there?
SELECT (SELECT count(*) FROM failure), (SELECT count(*) FROM message)

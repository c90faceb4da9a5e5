-- Which way did the first message of the book come?
SELECT channel FROM message ORDER BY position LIMIT 1

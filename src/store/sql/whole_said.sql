-- How much was said in this book, by anybody?
SELECT (SELECT count(*) FROM message) + (SELECT count(*) FROM event)

-- Which migrations has this book had, in order?
SELECT number, name, sha256 FROM migration ORDER BY number

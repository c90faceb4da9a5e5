-- Which accounts are in the book?
SELECT id FROM account ORDER BY id

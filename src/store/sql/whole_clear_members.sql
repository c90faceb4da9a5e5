-- Makes way for the people who are moved into an empty book.
DELETE FROM member WHERE account_id = ?1

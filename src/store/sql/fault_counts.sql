-- Everything that a message can leave behind, counted; for the tests of failing half way.
SELECT
    (SELECT count(*) FROM message),
    (SELECT count(*) FROM event),
    (SELECT count(*) FROM reply),
    (SELECT count(*) FROM failure),
    (SELECT count(*) FROM outbox),
    (SELECT count(*) FROM file),
    (SELECT count(*) FROM projection)

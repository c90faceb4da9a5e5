-- Up to which event has the projection seen this account, and in which form?
SELECT sequence, form FROM projection_seen WHERE account_id = ?1

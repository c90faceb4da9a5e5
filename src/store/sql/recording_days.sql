-- Which accounts are there, and for how many days does each keep recordings where its owner said so?
SELECT account.id, projection.json ->> '$.recording_days'
FROM account
LEFT JOIN projection
    ON projection.account_id = account.id AND projection.table_name = 'settings' AND projection.key = 'account'
ORDER BY account.id;

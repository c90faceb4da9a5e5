-- Files whose content is not what was kept are found by hashing; this lists what there is to hash.
SELECT id, sha256, bytes FROM file ORDER BY id;

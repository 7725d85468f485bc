BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0002');
CREATE TABLE bike_entries (
	bike_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (bike_id, seq), 
	FOREIGN KEY(bike_id) REFERENCES bikes (id)
);
INSERT INTO "bike_entries" VALUES(1,1,'2026-05-01T08:03:00.000000Z','facts','{"format": 1, "kind": "facts", "traits": {"size": "large"}, "use": "lawn"}');
INSERT INTO "bike_entries" VALUES(1,2,'2026-05-01T08:03:00.000000Z','target','{"format": 1, "kind": "target", "spec": "plug-gap", "figure": {"value": 0.75, "unit": "mm"}, "read_in": "leaflet, page 3", "on": "2026-05-01"}');
INSERT INTO "bike_entries" VALUES(1,3,'2026-05-01T08:03:00.000000Z','setting','{"format": 1, "kind": "setting", "observation": "plug-gap-reading", "reading": {"value": 0.75, "unit": "mm"}, "on": "2026-05-01", "baseline": true, "note": ""}');
INSERT INTO "bike_entries" VALUES(1,4,'2026-05-01T08:06:00.000000Z','ride','{"format": 1, "kind": "ride", "on": "2026-05-01", "hours": 2.0, "new_meter": false, "note": ""}');
CREATE TABLE bikes (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	archived INTEGER NOT NULL, 
	made_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name_key)
);
INSERT INTO "bikes" VALUES(1,'Old mower (invented)','old mower (invented)',0,'2026-05-01T08:03:00.000000Z','2026-05-01T08:06:00.000000Z');
CREATE TABLE case_entries (
	case_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (case_id, seq), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "case_entries" VALUES(1,1,'2026-05-01T08:09:00.000000Z','started','{"format": 1, "kind": "started", "pack": "mower", "pack_version": "1", "machine": {"size": "large"}, "targets": {}}');
INSERT INTO "case_entries" VALUES(1,2,'2026-05-01T08:09:00.000000Z','complained','{"format": 1, "kind": "complained", "complaint": "no-start"}');
INSERT INTO "case_entries" VALUES(1,3,'2026-05-01T08:12:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "tank-look", "state": "empty", "cannot_here": false}');
INSERT INTO "case_entries" VALUES(1,4,'2026-05-01T08:15:00.000000Z','taken-back','{"format": 1, "kind": "taken-back", "count": 1}');
INSERT INTO "case_entries" VALUES(1,5,'2026-05-01T08:18:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "tank-look", "state": "stale", "cannot_here": false}');
INSERT INTO "case_entries" VALUES(1,6,'2026-05-01T08:21:00.000000Z','forecast','{"format": 1, "kind": "forecast", "chances": {"stale-fuel": 0.937268, "plug-worn": 0.098745, "carburettor-gummed": 0.053333, "no-fuel": 0.000996, "blade-bent": 0.0352, "heights-wrong": 0.026129}, "learned": false}');
INSERT INTO "case_entries" VALUES(1,7,'2026-05-01T08:21:00.000000Z','corrected','{"format": 1, "kind": "corrected", "correction": "fill-up"}');
INSERT INTO "case_entries" VALUES(1,8,'2026-05-01T08:24:00.000000Z','rode','{"format": 1, "kind": "rode", "report": "gone"}');
INSERT INTO "case_entries" VALUES(1,9,'2026-05-01T08:30:00.000000Z','closed','{"format": 1, "kind": "closed", "outcome": "proven", "why": "One thing was put right, and the ride after it: gone.", "correction": "fill-up", "cause": "stale-fuel"}');
INSERT INTO "case_entries" VALUES(2,1,'2026-05-01T08:33:00.000000Z','started','{"format": 1, "kind": "started", "pack": "mower", "pack_version": "1", "machine": {}, "targets": {}}');
INSERT INTO "case_entries" VALUES(2,2,'2026-05-01T08:33:00.000000Z','complained','{"format": 1, "kind": "complained", "complaint": "vibration", "place": "deck"}');
INSERT INTO "case_entries" VALUES(2,3,'2026-05-01T08:36:00.000000Z','answered','{"format": 1, "kind": "answered", "observation": "hit-a-stone", "state": "yes", "cannot_here": false}');
INSERT INTO "case_entries" VALUES(2,4,'2026-05-01T08:39:00.000000Z','noted','{"format": 1, "kind": "noted", "text": "quittance % of ümlaut"}');
CREATE TABLE cases (
	id INTEGER NOT NULL, 
	bike_id INTEGER, 
	title TEXT NOT NULL, 
	complaints TEXT NOT NULL, 
	state TEXT NOT NULL, 
	outcome VARCHAR(20), 
	pack TEXT NOT NULL, 
	opened_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, search TEXT DEFAULT '' NOT NULL, cause TEXT, correction TEXT, 
	PRIMARY KEY (id), 
	FOREIGN KEY(bike_id) REFERENCES bikes (id)
);
INSERT INTO "cases" VALUES(1,1,'Will not start','no-start','closed','proven','mower','2026-05-01T08:09:00.000000Z','2026-05-01T08:30:00.000000Z','will not start | old mower (invented) | one thing was put right, and the ride after it: gone. | tank-look | fill with fresh fuel | stale fuel','stale-fuel','fill-up');
INSERT INTO "cases" VALUES(2,NULL,'Shakes (deck)','vibration/deck','open',NULL,'mower','2026-05-01T08:33:00.000000Z','2026-05-01T08:39:00.000000Z','shakes (deck) | hit-a-stone | quittance % of ümlaut',NULL,NULL);
CREATE TABLE lessons (
	case_id INTEGER NOT NULL, 
	pack TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	traits TEXT NOT NULL, 
	states TEXT NOT NULL, 
	chances TEXT NOT NULL, 
	at TEXT NOT NULL, 
	PRIMARY KEY (case_id), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "lessons" VALUES(1,'mower','stale-fuel','{"engine": "petrol", "size": "large"}','{"tank-look": "stale"}','{"stale-fuel": 0.937268, "plug-worn": 0.098745, "carburettor-gummed": 0.053333, "no-fuel": 0.000996, "blade-bent": 0.0352, "heights-wrong": 0.026129}','2026-05-01T08:27:00.000000Z');
CREATE TABLE shop (
	"key" VARCHAR(60) NOT NULL, 
	value TEXT NOT NULL, 
	PRIMARY KEY ("key")
);
CREATE INDEX cases_by_bike ON cases (bike_id);
CREATE INDEX cases_by_change ON cases (changed_at);
CREATE INDEX lessons_by_pack ON lessons (pack, at);
COMMIT;

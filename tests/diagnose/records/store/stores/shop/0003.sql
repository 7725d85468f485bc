BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
CREATE TABLE attempt_entries (
	attempt_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (attempt_id, seq), 
	FOREIGN KEY(attempt_id) REFERENCES attempts (id)
);
CREATE TABLE attempts (
	id INTEGER NOT NULL, 
	trainee_id INTEGER NOT NULL, 
	pack TEXT NOT NULL, 
	scenario TEXT NOT NULL, 
	lesson TEXT, 
	sitting INTEGER, 
	state TEXT NOT NULL, 
	result TEXT, 
	began_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(trainee_id) REFERENCES trainees (id)
);
CREATE TABLE bike_entries (
	bike_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (bike_id, seq), 
	FOREIGN KEY(bike_id) REFERENCES bikes (id)
);
INSERT INTO "bike_entries" VALUES(1,1,'2026-11-30T01:49:57.240191Z','facts','{"format": 1, "kind": "facts", "traits": {"fork": "coil-closed"}}');
INSERT INTO "bike_entries" VALUES(1,2,'2026-11-30T01:49:57.240191Z','target','{"format": 1, "kind": "target", "spec": "front-tyre-pressure", "figure": {"value": 13.0, "unit": "psi"}, "read_in": "manual, page 4", "on": "2026-11-30"}');
INSERT INTO "bike_entries" VALUES(1,3,'2026-11-30T01:49:57.240191Z','setting','{"format": 1, "kind": "setting", "observation": "fork-compression-clicks", "reading": {"value": 12.0, "unit": "clicks"}, "on": "2026-11-30", "baseline": true, "note": ""}');
INSERT INTO "bike_entries" VALUES(1,4,'2026-11-30T01:49:57.240191Z','setting','{"format": 1, "kind": "setting", "observation": "front-tyre-gauge", "reading": {"value": 13.0, "unit": "psi"}, "on": "2026-11-30", "baseline": true, "note": ""}');
INSERT INTO "bike_entries" VALUES(1,5,'2026-11-30T01:49:59.693003Z','ride','{"format": 1, "kind": "ride", "on": "2026-05-01", "meter": 40.0, "new_meter": false, "note": ""}');
INSERT INTO "bike_entries" VALUES(1,6,'2026-11-30T01:50:01.963759Z','service','{"format": 1, "kind": "service", "clock": "hours-fork-service", "on": "2026-05-01", "note": ""}');
INSERT INTO "bike_entries" VALUES(1,7,'2026-11-30T01:50:05.144788Z','ride','{"format": 1, "kind": "ride", "on": "2026-06-01", "hours": 3.0, "new_meter": false, "note": "fell in a rut"}');
INSERT INTO "bike_entries" VALUES(1,8,'2026-11-30T01:50:07.527492Z','setting','{"format": 1, "kind": "setting", "observation": "fork-compression-clicks", "reading": {"value": 8.0, "unit": "clicks"}, "on": "2026-11-30", "baseline": false, "note": ""}');
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
INSERT INTO "bikes" VALUES(1,'Demo 250 (INVENTED)','demo 250 (invented)',0,'2026-11-30T01:49:57.240191Z','2026-11-30T01:50:07.527492Z');
INSERT INTO "bikes" VALUES(2,'Demo 300 (INVENTED)','demo 300 (invented)',0,'2026-11-30T01:50:10.053011Z','2026-11-30T01:50:10.053011Z');
CREATE TABLE case_entries (
	case_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (case_id, seq), 
	FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "case_entries" VALUES(1,1,'2026-11-30T01:50:14.341073Z','started','{"format": 1, "kind": "started", "pack": "offroad", "pack_version": "1", "machine": {"fork": "coil-closed"}, "targets": {"front-tyre-pressure": {"value": 13.0, "unit": "psi"}}}');
INSERT INTO "case_entries" VALUES(1,2,'2026-11-30T01:50:14.341073Z','answered','{"format": 1, "kind": "answered", "observation": "hours-fork-service", "reading": {"value": 3.0, "unit": "h"}, "cannot_here": false, "assumed": {"rests_on": "service of 2026-05-01, rides logged to 2026-06-01", "on": "2026-06-01"}}');
INSERT INTO "case_entries" VALUES(1,3,'2026-11-30T01:50:14.341073Z','answered','{"format": 1, "kind": "answered", "observation": "fork-compression-clicks-noted", "reading": {"value": 8.0, "unit": "clicks"}, "cannot_here": false, "assumed": {"rests_on": "setting of 2026-11-30", "on": "2026-11-30"}}');
INSERT INTO "case_entries" VALUES(1,4,'2026-11-30T01:50:14.341073Z','told','{"format": 1, "kind": "told", "text": "the fork is harsh on small chop"}');
INSERT INTO "case_entries" VALUES(1,5,'2026-11-30T01:50:14.341073Z','complained','{"format": 1, "kind": "complained", "complaint": "harsh", "place": "front"}');
INSERT INTO "case_entries" VALUES(1,6,'2026-11-30T01:50:14.341073Z','answered','{"format": 1, "kind": "answered", "observation": "shows-small-chop", "state": "yes", "cannot_here": false}');
INSERT INTO "case_entries" VALUES(1,7,'2026-11-30T01:50:17.659706Z','noted','{"format": 1, "kind": "noted", "text": "waits for a gauge"}');
INSERT INTO "case_entries" VALUES(1,8,'2026-11-30T01:50:21.540073Z','forecast','{"format": 1, "kind": "forecast", "chances": {"front-tyre-pressure-high": 0.213833, "fork-air-trapped": 0.13766, "legs-pinched": 0.113799, "lower-clamps-over-tight": 0.069724, "set-for-other-ground": 0.059399, "oil-cold": 0.046471, "fork-compression-closed": 0.04634, "fork-springs-too-stiff": 0.046118, "fork-seal-dry": 0.029417, "upper-clamps-over-tight": 0.028656, "adjusters-miscounted": 0.027416, "fork-springs-too-soft": 0.026189, "fork-rebound-slow": 0.026013, "rider-hangs-on-arms": 0.025775, "rider-weight-changed": 0.021946, "axle-pinch-over-tight": 0.020074, "front-tyre-pressure-low": 0.01966, "front-brake-dragging": 0.019018, "fork-legs-twisted": 0.015737, "fork-oil-wrong-grade": 0.015421, "strapped-down-hard": 0.014354, "fork-parts-not-run-in": 0.014149, "fork-preload-too-much": 0.014149, "fork-seal-overpressure": 0.013767, "front-axle-bent": 0.012876, "fork-valving-too-firm": 0.012857, "front-carcass-stiff": 0.012857, "fork-oil-level-high": 0.012834, "fork-adjusters-mixed-up": 0.011489, "stored-on-its-wheels": 0.011489, "fork-compression-open": 0.010499, "fork-legs-uneven-height": 0.010499, "pace-above-setup": 0.010499, "fork-tube-bent": 0.01033, "front-rim-bent": 0.01033, "front-tyre-badly-seated": 0.01033, "fork-legs-set-unequal": 0.009189, "rider-legs-locked": 0.009189, "fork-oil-level-low": 0.007877, "front-wheel-unbalanced": 0.007877, "front-disc-warped": 0.006889, "parts-mixed-up": 0.006889, "levers-set-wrong": 0.006566, "fork-water-in-oil": 0.006088, "front-wheel-spacers-wrong": 0.005254, "fork-valve-stuck": 0.003664, "fork-damper-rod-bent": 0.003446, "fork-adjuster-no-effect": 0.003347, "fork-springs-mixed": 0.002628, "front-brake-pressure-held": 0.002224, "fork-oil-old": 0.000298, "fork-bushings-worn": 0.000126, "rear-tyre-pressure-high": 0.069643, "linkage-bearings-dry": 0.037622, "rear-sag-too-much": 0.03, "seal-dirt-under-lip": 0.025, "rear-spring-too-soft": 0.022, "shock-oil-old": 0.022, "front-tyre-worn": 0.02, "rear-tyre-worn": 0.02, "rider-too-far-back": 0.018, "linkage-bearings-worn": 0.01608, "rear-sag-too-little": 0.016, "rear-tyre-pressure-low": 0.015, "shock-mount-bearing-seized": 0.012605, "rear-spring-too-stiff": 0.012295, "chain-too-tight": 0.012, "rear-high-for-front": 0.012, "shock-mount-bearing-worn": 0.010726, "chain-too-loose": 0.010509, "shock-rebound-slow": 0.010123, "head-bearing-loose": 0.01, "rear-wheel-misaligned": 0.01, "shock-low-speed-compression-closed": 0.009601, "swingarm-bearing-tight": 0.009455, "fork-tubes-too-high": 0.009, "head-bearing-tight": 0.009, "rider-knees-loose": 0.009, "shock-rebound-fast": 0.009, "front-wheel-bearing-worn": 0.008, "preload-ring-backed-off": 0.008, "rear-wheel-bearing-worn": 0.008, "shock-seal-leaking": 0.008, "stanchion-nicked": 0.008, "linkage-bolts-loose": 0.007842, "bar-position-wrong": 0.007, "bars-turned-in-mounts": 0.007, "fork-tubes-too-low": 0.007, "front-spokes-loose": 0.007, "head-bearing-notched": 0.007, "rear-spokes-loose": 0.007, "shock-seal-head-worn": 0.006909, "washed-into-bearings": 0.006909, "rear-brake-dragging": 0.006658, "fork-rebound-fast": 0.006625, "subframe-loose": 0.006418, "grease-omitted": 0.006411, "linkage-nuts-over-tight": 0.006121, "load-too-much-or-far-back": 0.006, "rear-rim-bent": 0.006, "rear-tyre-badly-seated": 0.006, "rider-too-far-forward": 0.006, "shock-high-speed-compression-closed": 0.006, "shock-low-speed-compression-open": 0.006, "subframe-bent": 0.006, "swingarm-bearing-worn": 0.006, "fork-seal-water-driven": 0.005828, "chain-slider-worn": 0.005528, "fork-guards-rubbing": 0.005528, "rear-carcass-stiff": 0.00503, "bump-rubber-perished": 0.005, "engine-mounts-loose": 0.005, "footpegs-loose": 0.005, "front-axle-loose": 0.005, "rear-axle-loose": 0.005, "shock-gas-lost": 0.005, "shock-spring-sacked": 0.005, "tyres-mismatched": 0.005, "linkage-assembled-wrong": 0.004591, "bar-mounts-loose": 0.004, "bars-bent": 0.004, "cable-pulls-bars": 0.004, "chain-worn-out": 0.004, "fork-air-below-outside": 0.004, "fork-clamps-slipping": 0.004, "fork-joint-leaking": 0.004, "fork-preload-too-little": 0.004, "front-brake-contaminated": 0.004, "shock-high-speed-compression-open": 0.004, "shock-valving-too-firm": 0.003773, "fork-clamp-or-stem-bent": 0.003, "fork-seal-fitted-wrong": 0.003, "fork-valving-too-soft": 0.003, "frame-bent": 0.003, "frame-cracked": 0.003, "front-carcass-broken-down": 0.003, "rear-carcass-broken-down": 0.003, "shock-adjuster-no-effect": 0.003, "swingarm-bent": 0.003, "swingarm-pivot-loose": 0.003, "fork-top-out-spring-broken": 0.0025, "shock-shaft-bent": 0.0025, "rear-brake-contaminated": 0.002, "shock-spring-broken": 0.002, "shock-valving-too-soft": 0.002, "fork-oil-aerated": 0.001712, "fork-clamp-cracked": 0.0015, "fork-spring-broken": 0.0015, "fork-damper-worn": 0.001455, "rear-brake-pressure-held": 0.001166}, "learned": false}');
INSERT INTO "case_entries" VALUES(1,9,'2026-11-30T01:50:21.540073Z','corrected','{"format": 1, "kind": "corrected", "correction": "set-front-tyre-pressure"}');
INSERT INTO "case_entries" VALUES(1,10,'2026-11-30T01:50:25.004243Z','rode','{"format": 1, "kind": "rode", "report": "gone", "about": ""}');
INSERT INTO "case_entries" VALUES(1,11,'2026-11-30T01:50:28.594758Z','closed','{"format": 1, "kind": "closed", "outcome": "proven", "why": "One thing was put right (Set the front tyre pressure), and the ride after it: gone.", "correction": "set-front-tyre-pressure", "cause": "front-tyre-pressure-high", "also": []}');
INSERT INTO "case_entries" VALUES(2,1,'2026-11-30T01:50:32.497219Z','started','{"format": 1, "kind": "started", "pack": "offroad", "pack_version": "1", "machine": {}, "targets": {}}');
INSERT INTO "case_entries" VALUES(2,2,'2026-11-30T01:50:32.497219Z','told','{"format": 1, "kind": "told", "text": "it wallows"}');
INSERT INTO "case_entries" VALUES(2,3,'2026-11-30T01:50:32.497219Z','complained','{"format": 1, "kind": "complained", "complaint": "wallowing"}');
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
INSERT INTO "cases" VALUES(1,1,'Harsh (front)','harsh/front','closed','proven','offroad','2026-11-30T01:50:14.341073Z','2026-11-30T01:50:28.594758Z','harsh (front) | one thing was put right (set the front tyre pressure), and the ride after it: gone. | the fork is harsh on small chop | shows-small-chop | waits for a gauge | set the front tyre pressure | front tyre pressure too high','front-tyre-pressure-high','set-front-tyre-pressure');
INSERT INTO "cases" VALUES(2,2,'Wallowing','wallowing','open',NULL,'offroad','2026-11-30T01:50:32.497219Z','2026-11-30T01:50:32.497219Z','wallowing | it wallows',NULL,NULL);
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
INSERT INTO "lessons" VALUES(1,'offroad','front-tyre-pressure-high','{"class": "full-size", "fork": "coil-closed", "rear": "linkage", "tyre-filling": "tube", "steering-damper": "none", "abs": "none", "electronics": "none", "height": "standard"}','{"shows-small-chop": "yes", "hours-fork-service": "in-time"}','{"front-tyre-pressure-high": 0.213833, "fork-air-trapped": 0.13766, "legs-pinched": 0.113799, "lower-clamps-over-tight": 0.069724, "set-for-other-ground": 0.059399, "oil-cold": 0.046471, "fork-compression-closed": 0.04634, "fork-springs-too-stiff": 0.046118, "fork-seal-dry": 0.029417, "upper-clamps-over-tight": 0.028656, "adjusters-miscounted": 0.027416, "fork-springs-too-soft": 0.026189, "fork-rebound-slow": 0.026013, "rider-hangs-on-arms": 0.025775, "rider-weight-changed": 0.021946, "axle-pinch-over-tight": 0.020074, "front-tyre-pressure-low": 0.01966, "front-brake-dragging": 0.019018, "fork-legs-twisted": 0.015737, "fork-oil-wrong-grade": 0.015421, "strapped-down-hard": 0.014354, "fork-parts-not-run-in": 0.014149, "fork-preload-too-much": 0.014149, "fork-seal-overpressure": 0.013767, "front-axle-bent": 0.012876, "fork-valving-too-firm": 0.012857, "front-carcass-stiff": 0.012857, "fork-oil-level-high": 0.012834, "fork-adjusters-mixed-up": 0.011489, "stored-on-its-wheels": 0.011489, "fork-compression-open": 0.010499, "fork-legs-uneven-height": 0.010499, "pace-above-setup": 0.010499, "fork-tube-bent": 0.01033, "front-rim-bent": 0.01033, "front-tyre-badly-seated": 0.01033, "fork-legs-set-unequal": 0.009189, "rider-legs-locked": 0.009189, "fork-oil-level-low": 0.007877, "front-wheel-unbalanced": 0.007877, "front-disc-warped": 0.006889, "parts-mixed-up": 0.006889, "levers-set-wrong": 0.006566, "fork-water-in-oil": 0.006088, "front-wheel-spacers-wrong": 0.005254, "fork-valve-stuck": 0.003664, "fork-damper-rod-bent": 0.003446, "fork-adjuster-no-effect": 0.003347, "fork-springs-mixed": 0.002628, "front-brake-pressure-held": 0.002224, "fork-oil-old": 0.000298, "fork-bushings-worn": 0.000126, "rear-tyre-pressure-high": 0.069643, "linkage-bearings-dry": 0.037622, "rear-sag-too-much": 0.03, "seal-dirt-under-lip": 0.025, "rear-spring-too-soft": 0.022, "shock-oil-old": 0.022, "front-tyre-worn": 0.02, "rear-tyre-worn": 0.02, "rider-too-far-back": 0.018, "linkage-bearings-worn": 0.01608, "rear-sag-too-little": 0.016, "rear-tyre-pressure-low": 0.015, "shock-mount-bearing-seized": 0.012605, "rear-spring-too-stiff": 0.012295, "chain-too-tight": 0.012, "rear-high-for-front": 0.012, "shock-mount-bearing-worn": 0.010726, "chain-too-loose": 0.010509, "shock-rebound-slow": 0.010123, "head-bearing-loose": 0.01, "rear-wheel-misaligned": 0.01, "shock-low-speed-compression-closed": 0.009601, "swingarm-bearing-tight": 0.009455, "fork-tubes-too-high": 0.009, "head-bearing-tight": 0.009, "rider-knees-loose": 0.009, "shock-rebound-fast": 0.009, "front-wheel-bearing-worn": 0.008, "preload-ring-backed-off": 0.008, "rear-wheel-bearing-worn": 0.008, "shock-seal-leaking": 0.008, "stanchion-nicked": 0.008, "linkage-bolts-loose": 0.007842, "bar-position-wrong": 0.007, "bars-turned-in-mounts": 0.007, "fork-tubes-too-low": 0.007, "front-spokes-loose": 0.007, "head-bearing-notched": 0.007, "rear-spokes-loose": 0.007, "shock-seal-head-worn": 0.006909, "washed-into-bearings": 0.006909, "rear-brake-dragging": 0.006658, "fork-rebound-fast": 0.006625, "subframe-loose": 0.006418, "grease-omitted": 0.006411, "linkage-nuts-over-tight": 0.006121, "load-too-much-or-far-back": 0.006, "rear-rim-bent": 0.006, "rear-tyre-badly-seated": 0.006, "rider-too-far-forward": 0.006, "shock-high-speed-compression-closed": 0.006, "shock-low-speed-compression-open": 0.006, "subframe-bent": 0.006, "swingarm-bearing-worn": 0.006, "fork-seal-water-driven": 0.005828, "chain-slider-worn": 0.005528, "fork-guards-rubbing": 0.005528, "rear-carcass-stiff": 0.00503, "bump-rubber-perished": 0.005, "engine-mounts-loose": 0.005, "footpegs-loose": 0.005, "front-axle-loose": 0.005, "rear-axle-loose": 0.005, "shock-gas-lost": 0.005, "shock-spring-sacked": 0.005, "tyres-mismatched": 0.005, "linkage-assembled-wrong": 0.004591, "bar-mounts-loose": 0.004, "bars-bent": 0.004, "cable-pulls-bars": 0.004, "chain-worn-out": 0.004, "fork-air-below-outside": 0.004, "fork-clamps-slipping": 0.004, "fork-joint-leaking": 0.004, "fork-preload-too-little": 0.004, "front-brake-contaminated": 0.004, "shock-high-speed-compression-open": 0.004, "shock-valving-too-firm": 0.003773, "fork-clamp-or-stem-bent": 0.003, "fork-seal-fitted-wrong": 0.003, "fork-valving-too-soft": 0.003, "frame-bent": 0.003, "frame-cracked": 0.003, "front-carcass-broken-down": 0.003, "rear-carcass-broken-down": 0.003, "shock-adjuster-no-effect": 0.003, "swingarm-bent": 0.003, "swingarm-pivot-loose": 0.003, "fork-top-out-spring-broken": 0.0025, "shock-shaft-bent": 0.0025, "rear-brake-contaminated": 0.002, "shock-spring-broken": 0.002, "shock-valving-too-soft": 0.002, "fork-oil-aerated": 0.001712, "fork-clamp-cracked": 0.0015, "fork-spring-broken": 0.0015, "fork-damper-worn": 0.001455, "rear-brake-pressure-held": 0.001166}','2026-11-30T01:50:28.594758Z');
CREATE TABLE shop (
	"key" VARCHAR(60) NOT NULL, 
	value TEXT NOT NULL, 
	PRIMARY KEY ("key")
);
INSERT INTO "shop" VALUES('lessons-added-up','{"mark":"0bd94e13d2e255581653c901510bf54a6af2265646ab7ee677606b8441aaef86","machines":{"front-tyre-pressure-high":{"{\"class\": \"full-size\", \"fork\": \"coil-closed\", \"rear\": \"linkage\", \"tyre-filling\": \"tube\", \"steering-damper\": \"none\", \"abs\": \"none\", \"electronics\": \"none\", \"height\": \"standard\"}":1}},"states":{"front-tyre-pressure-high":{"shows-small-chop":{"yes":1},"hours-fork-service":{"in-time":1}}}}');
CREATE TABLE trainee_entries (
	trainee_id INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (trainee_id, seq), 
	FOREIGN KEY(trainee_id) REFERENCES trainees (id)
);
CREATE TABLE trainees (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	name_key TEXT NOT NULL, 
	archived INTEGER NOT NULL, 
	made_at TEXT NOT NULL, 
	changed_at TEXT NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name_key)
);
INSERT INTO "trainees" VALUES(1,'Demo Trainee','demo trainee',0,'2026-11-30T01:50:37.272115Z','2026-11-30T01:50:37.272115Z');
CREATE INDEX cases_by_bike ON cases (bike_id);
CREATE INDEX cases_by_change ON cases (changed_at);
CREATE INDEX lessons_by_pack ON lessons (pack, at);
CREATE INDEX attempts_by_trainee ON attempts (trainee_id);
COMMIT;

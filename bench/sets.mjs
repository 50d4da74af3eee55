// The published sets that the search is measured on: where they are, how long each instance gets, and what is to be reached.
// Folders are below the reference folder. The subset is what `make bench` runs; `make bench-full` runs all.

const mean = (limit) => ({ text: `mean gap at most ${limit} %`, met: (s) => s.mean <= limit })
const meanAndWorst = (limit, worst) => ({ text: `mean gap at most ${limit} %, worst ${worst} %`, met: (s) => s.mean <= limit && s.worst <= worst })
const reached = (share) => ({ text: share === 100 ? 'best known value reached on all' : `best known value reached on at least ${share} %`, met: (s) => s.reached >= (share / 100) * s.known })

export const sets = [
  { id: 'jobshop-classic', title: 'Job shop: ft, la, abz, orb', kind: 'jobshop', folder: 'jobshop', files: /^(ft|la|abz|orb)\d/, seconds: 60, target: reached(95),
    subset: ['ft10', 'ft20', 'la21', 'la24', 'la29', 'la38', 'abz7', 'abz8', 'orb03'] },
  { id: 'jobshop-ta01-50', title: 'Job shop: ta01 to ta50', kind: 'jobshop', folder: 'jobshop', files: /^ta([0-4]\d|50)$/, seconds: 60, target: meanAndWorst(1.0, 3),
    subset: ['ta01', 'ta11', 'ta21', 'ta31', 'ta41', 'ta45'] },
  { id: 'jobshop-ta51-80', title: 'Job shop: ta51 to ta80', kind: 'jobshop', folder: 'jobshop', files: /^ta(5[1-9]|[67]\d|80)$/, seconds: 60, target: meanAndWorst(0.8, 3),
    subset: ['ta51', 'ta61', 'ta71'] },
  { id: 'reentrant', title: 'Job shop after a real plant, jobs come back to machines', kind: 'jobshop', folder: 'jobshop/reentrant-plant', files: /^bel/, seconds: 60, subset: ['bel01', 'bel10'] },
  { id: 'flexible-mk', title: 'Flexible: Brandimarte mk01 to mk15', kind: 'flexible', folder: 'flexible-jobshop', files: /^mk/, seconds: 60, target: mean(0.5),
    subset: ['mk02', 'mk05', 'mk06', 'mk07', 'mk08', 'mk09', 'mk10'] },
  { id: 'flexible-vdata', title: 'Flexible: Hurink vdata', kind: 'flexible', folder: 'flexible-jobshop', files: /_vdata$/, seconds: 60, target: mean(0.3), subset: ['la01_vdata', 'la09_vdata', 'la16_vdata'] },
  { id: 'flexible-rdata', title: 'Flexible: Hurink rdata', kind: 'flexible', folder: 'flexible-jobshop', files: /_rdata$/, seconds: 60, target: mean(0.8), subset: ['la04_rdata', 'la10_rdata', 'ft10_rdata'] },
  { id: 'flexible-edata', title: 'Flexible: Hurink edata', kind: 'flexible', folder: 'flexible-jobshop', files: /_edata$/, seconds: 60, target: mean(1.0), subset: ['la16_edata', 'la13_edata', 'ft10_edata'] },
  { id: 'flexible-sdata', title: 'Flexible: Hurink sdata (job shops)', kind: 'flexible', folder: 'flexible-jobshop', files: /_sdata$/, seconds: 60, subset: [] },
  { id: 'flexible-dp', title: 'Flexible: Dauzère-Pérès and Paulli', kind: 'flexible', folder: 'flexible-jobshop', files: /^dpp/, seconds: 60, target: mean(1.0), subset: ['dpp01a', 'dpp05a'] },
  { id: 'flexible-cb', title: 'Flexible: Chambers and Barnes', kind: 'flexible', folder: 'flexible-jobshop', files: /^(mt10|setb4|seti5)/, seconds: 60, target: mean(0.8), subset: ['mt10x', 'setb4xyz', 'seti5cc'] },
  { id: 'flexible-small', title: 'Flexible: Kacem, Fattahi', kind: 'flexible', folder: 'flexible-jobshop', files: /^(kacem|fattahi)/, seconds: 60, subset: [] },
  { id: 'workers', title: 'Flexible with workers', kind: 'workers', folder: 'flexible-jobshop/workers', files: /w$/, seconds: 60, target: reached(80), subset: ['fattahi15w', 'kacem4w', 'mk04w'] },
  { id: 'assembly-yfjs', title: 'Assembly: YFJS, listed optima', kind: 'assembly', folder: 'assembly-project/assembly-job-shop', files: /^YFJS/, seconds: 60, target: reached(100), subset: ['YFJS05', 'YFJS12'] },
  { id: 'assembly-dafjs', title: 'Assembly: DAFJS against 10 minutes of the constraint solver here', kind: 'assembly', folder: 'assembly-project/assembly-job-shop', files: /^DAFJS/, seconds: 60,
    against: 'solver-dafjs', target: { text: 'at most 2 % above', met: (s) => s.worst <= 2 }, subset: ['DAFJS05', 'DAFJS10', 'DAFJS12', 'DAFJS15'] },
  { id: 'project', title: 'Projects: RCPSP j30', kind: 'project', folder: 'assembly-project/rcpsp', files: /^j30/, seconds: 10, subset: ['j30_1_1', 'j30_9_9', 'j30_13_3', 'j30_29_9', 'j30_45_5'] },
  { id: 'portfolio', title: 'Portfolios: MPLIB1 set 3', kind: 'portfolio', folder: 'assembly-project/multi-project', files: /^mplib/, seconds: 60, subset: ['mplib1-set3-961'] },
  { id: 'hybrid', title: 'Hybrid flow shop', kind: 'hybrid', folder: 'assembly-project/hybrid-flow-shop', files: /^hfs/, seconds: 10, subset: ['hfs0001', 'hfs0061', 'hfs0121', 'hfs0241'] },
  { id: 'flow', title: 'Flow shop with set-ups (overtaking allowed)', kind: 'flow', folder: 'setups-and-tardiness/flow-shop-setups', files: /^sdst/, seconds: 10,
    subset: ['sdst010-ta001', 'sdst010-ta011', 'sdst125-ta001', 'sdst125-ta011'] },
  { id: 'setups', title: 'One machine, set-ups, weighted tardiness', kind: 'setups', folder: 'setups-and-tardiness/single-machine-setups', files: /^wtsds/, seconds: 10, subset: ['wtsds001', 'wtsds041', 'wtsds084'] },
  { id: 'setups-total', title: 'One machine, set-ups, total tardiness', kind: 'setups', folder: 'setups-and-tardiness/single-machine-setups-total-tardiness', files: /^prob/, seconds: 10,
    subset: ['prob505', 'prob555', 'prob605'] },
  { id: 'tardiness', title: 'Job shop, total tardiness', kind: 'tardiness', folder: 'setups-and-tardiness/job-shop-total-tardiness', files: /tt$/, seconds: 10, subset: ['p01tt', 'p21tt', 'p41tt', 'la16tt'] },
  { id: 'single', title: 'One machine, weighted tardiness', kind: 'single', folder: 'setups-and-tardiness/single-machine-tardiness', files: /^wt\d+$/, seconds: 5, flags: ['--every', '5'],
    subset: ['wt40'], subsetFlags: ['--every', '25'] },
]

// What is run by the constraint solver too; in the full run only. Where own names sets of the search, the two are compared at the same seconds.
export const sideBySide = [
  { id: 'solver-jobshop', kind: 'jobshop', folder: 'jobshop', own: ['jobshop-ta01-50', 'jobshop-ta51-80'], instances: ['ta11', 'ta21', 'ta31', 'ta41', 'ta51', 'ta61', 'ta71'], seconds: 60 },
  { id: 'solver-flexible', kind: 'flexible', folder: 'flexible-jobshop', own: ['flexible-mk'], instances: ['mk02', 'mk05', 'mk06', 'mk07', 'mk08', 'mk09', 'mk10'], seconds: 60 },
  { id: 'solver-dafjs', kind: 'assembly', folder: 'assembly-project/assembly-job-shop', own: [], files: /^DAFJS/, seconds: 600 },
]

"""Which of the reference values Longrow answers for, and which group of tests compares them.

A test takes its group's patterns from `HELD` and hands them to `values.compare`, which fails on every
quantity of a pattern that was not computed. `test_reference_groups.py` holds that no asked quantity is left.
"""

#: Pooled networks: dataset, and the name of the block that holds them.
POOLED = [
    ("bcg_latitude", "re"),
    ("bcg_latitude_or", "re"),
    ("co2_biomass_rr", "re"),
    ("co2_biomass_rr", "re_bc"),
    ("co2_biomass_rr", "re_avgcv"),
    ("antigua_maize", "re_lnrr_t111"),
    ("antigua_maize", "re_lnrr_t311"),
    ("antigua_maize", "re_blocked_md_t111"),
    ("antigua_maize", "re_blocked_md_t311"),
    ("antigua_maize", "re_blocked_md_pooledvar_t111"),
    ("antigua_maize", "re_blocked_md_pooledvar_t311"),
    ("barley_minnesota", "re_pooledvar"),
    ("barley_minnesota", "re_ownvar"),
    ("darwin_maize_pairs", "re_pooledvar"),
    ("darwin_maize_pairs", "re_ownvar"),
    ("soybean_growth", "re_lnrr_auc_k3"),
    ("synthetic_gradient_demo", "re_pooledvar_grafted"),
    ("synthetic_gradient_demo", "re_pooledvar_mulched"),
    ("synthetic_gradient_demo", "re_ownvar_grafted"),
    ("synthetic_gradient_demo", "re_ownvar_mulched"),
    ("synthetic_gradient_demo", "re_lnrr_grafted"),
    ("synthetic_gradient_demo", "re_lnrr_mulched"),
]

#: Regressions on covariates of the gardens.
REGRESSED = [
    ("bcg_latitude", "mr"),
    ("bcg_latitude", "mr2"),
    ("bcg_latitude_or", "mr"),
    ("co2_biomass_rr", "mr_time"),
    ("co2_biomass_rr", "mr_gymno_time"),
    ("barley_minnesota", "mr_pooledvar"),
    ("synthetic_gradient_demo", "mr_pooledvar_grafted"),
    ("synthetic_gradient_demo", "mr_pooledvar_mulched"),
    ("synthetic_gradient_demo", "mr_lnrr_grafted"),
    ("synthetic_gradient_demo", "mr_lnrr_mulched"),
]

#: One-stage mixed models. Kenward and Roger's standard errors are not given by Longrow, nor are lmerTest's
#: degrees of freedom, which leave a variance at zero out.
MIXED_QUANTITIES = r"\.(reml_minus2loglik|n_obs|var\..*|fixef\..*|kr\..*\.(estimate|df))"
MIXED = [
    ("antigua_maize", "onestage12"),
    ("antigua_maize", "onestage_t111_only"),
    ("synthetic_gradient_demo", "onestage"),
    ("synthetic_gradient_demo", "onestage_gradient"),
    ("yates_oats", "onestage_site_x_trt"),
]

#: By group of tests: dataset, and the pattern that a quantity's whole name matches.
HELD = {
    "pooled": [(dataset, rf"{block}\..*") for dataset, block in POOLED],
    "regressed": [(dataset, rf"{block}\.(?!.*pred_at).*") for dataset, block in REGRESSED],
    "predicted": [("bcg_latitude", r"mr\..*pred_at.*")],
    "arms": [
        ("antigua_maize", r"arm\..*"),
        ("synthetic_gradient_demo", r"arm\..*"),
        ("dunnett1955_blood", r"arm\..*"),
    ],
    "welch": [("dunnett1955_blood", r"welch\..*")],
    "arms_from_published_figures": [("co2_biomass_rr", r"id\d+\..*")],
    "blocked": [("antigua_maize", r"blocked\..*"), ("synthetic_gradient_demo", r"blocked\..*")],
    "blocked_log": [("antigua_maize", r"blocked_log\..*")],
    "pooled_residual": [
        ("antigua_maize", r"pooled_residual\..*"),
        ("synthetic_gradient_demo", r"pooled_residual\..*"),
    ],
    "dunnett_table": [("dunnett_critical_values", r".*")],
    "dunnett_plots": [("dunnett1955_blood", r"(drug\w|resid_ms|resid_df|rho|crit_two_sided_05).*")],
    "dunnett_blocks": [("soybean_seed_rcbd", r"(dunnett|holm|bonferroni)\..*")],
    "stability": [("barley_minnesota", r"stab12\..*"), ("barley_minnesota", r"stab6\..*")],
    "disease": [("audpc_examples", r".*")],
    "planning": [("planning", r".*")],
    "sign_flips": [("darwin_maize_pairs", r"permutation\..*")],
    "mixed": [(dataset, block + MIXED_QUANTITIES) for dataset, block in MIXED],
}

#: What Longrow promises to agree with R in: dataset, and the pattern that a quantity's name begins with.
ASKED = [
    (r".*", r"(re|mr)\w*\."),
    (r".*", r"(arm|blocked|blocked_log)\."),
    (r"dunnett.*", r""),
    (r".*", r"dunnett"),
    (r".*", r"stab"),
    (r".*", r"permutation\."),
    (r"audpc_examples", r""),
    (r"planning", r""),
    (r"antigua_maize|synthetic_gradient_demo", r"onestage\w*\.(fixef|var)\."),
]

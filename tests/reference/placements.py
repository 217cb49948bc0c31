"""Scans placed by matched points, by numpy's SVD, as reference values for tests/placement.rs.

Run in a Python with numpy (made with 2.4.6 from PyPI):

    python tests/reference/placements.py

It writes placements.csv beside itself. The method is Kabsch's (Acta Cryst. A32 (1976) 922; A34 (1978) 827): the
singular value decomposition of the points' covariance, its last direction turned over where it would mirror.
hotside's own is Horn's, by quaternions. All points are invented, out of a seeded generator.

A row: the case, then for each pair scan x, y, z and car x, y, z (mm); rows of a case follow each other. The first
row of a case has in its last columns the rotation by rows, the shift, the residual (root of the mean square).
"""

import csv
from pathlib import Path

import numpy as np


def kabsch(scan, car):
    middle, aim = scan.mean(axis=0), car.mean(axis=0)
    u, _, vt = np.linalg.svd((scan - middle).T @ (car - aim))
    turn = np.diag([1.0, 1.0, np.sign(np.linalg.det(vt.T @ u.T))])
    rotation = vt.T @ turn @ u.T
    shift = aim - rotation @ middle
    off = (rotation @ scan.T).T + shift - car
    return rotation, shift, np.sqrt((off**2).sum(axis=1).mean())


def main():
    dice = np.random.default_rng(20)
    rows = []
    for case in range(24):
        count = [3, 4, 6, 12][case % 4]
        scan = dice.uniform(-500, 500, (count, 3))
        if case % 3 == 0:
            scan[:, 2] = 40.0  # in one plane
        q, r = np.linalg.qr(dice.normal(size=(3, 3)))
        q = q * np.sign(np.diag(r))
        q[:, 0] *= np.sign(np.linalg.det(q))
        noise = [0.0, 1.0, 5.0][(case // 4) % 3]
        car = scan @ q.T + dice.uniform(-1000, 1000, 3) + dice.normal(size=(count, 3)) * noise
        if case >= 20:
            car = car * [1, -1, 1]  # of the other hand: the best rotation is poor, and still the best
        scan, car = scan.round(6), car.round(6)
        rotation, shift, residual = kabsch(scan, car)
        for index, (s, c) in enumerate(zip(scan, car)):
            answer = [*rotation.ravel(), *shift, residual] if index == 0 else []
            rows.append([case, *(f"{v:.6f}" for v in [*s, *c]), *(f"{v:.12e}" for v in answer)])
    with open(Path(__file__).with_name("placements.csv"), "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        head = "case scan_x scan_y scan_z car_x car_y car_z".split()
        writer.writerow(head + [f"r{i}{j}" for i in range(3) for j in range(3)] + "shift_x shift_y shift_z residual".split())
        writer.writerows(rows)


main()

# SPDX-License-Identifier: Apache-2.0
"""Physics of water in pipes, with sources and without any code of practice.

    water              density, viscosity, expansion, compressibility, boiling; gravity and air pressure
    static_head        pressure and head with their levels
    friction           Darcy-Weisbach and Colebrook        hazen_williams   the other law
    roughness          of pipe walls                       fittings         K, Kv, equivalent lengths
    devices            pumps, mains, meters by curve       gravity_flow     partly full drains
    stack_flow         capacity, terminal velocity, thrust of stacks
    pipe_wall          how a wall gives                    pipe_materials   elasticity and expansion
    surge, thermal, filling, leak, gas_energy              what moves a pressure test, and what it stores
    heat_loss, expansion                                   warm pipes
    pipe_network       what the network solver is given    solver           flows and heads of a network

Words: a *head* is metres of the water flowing above one datum; a *level* is a height without water in it; a
*loss* is head or pressure used up; a pipe is *full* unless a drain; *open*, *closed*, *holding* are the
states of links. All figures SI, and all pressures gauge unless the name says absolute.
"""

// Decimal digit to seven segments as sums of products, one port per segment, high lights.
// 6 and 9 without tails. Inputs above nine do not occur here, whatever they would show.
module gate_decoder (d3, d2, d1, d0, a, b, c, d, e, f, g);
    input  d3, d2, d1, d0;
    output a, b, c, d, e, f, g;

    wire n2, n1, n0;

    not (n2, d2);
    not (n1, d1);
    not (n0, d0);

    assign a = (n2 & n0) | (d1 & d0) | (d2 & d0) | d3;
    assign b = n2 | (n1 & n0) | (d1 & d0);
    assign c = d2 | n1 | d0;
    assign d = (n2 & n0) | (n2 & d1) | (d1 & n0) | (d2 & n1 & d0);
    assign e = (n2 & n0) | (d1 & n0);
    assign f = (n1 & n0) | (d2 & n1) | (d2 & n0) | d3;
    assign g = (n2 & d1) | (d2 & n1) | (d1 & n0) | d3;
endmodule

// does: modules that hold the next one twice, thirty deep
// named: unreadable
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    m0 u (clk);
endmodule
module m0 (input c); m1 a (c); m1 b (c); endmodule
module m1 (input c); m2 a (c); m2 b (c); endmodule
module m2 (input c); m3 a (c); m3 b (c); endmodule
module m3 (input c); m4 a (c); m4 b (c); endmodule
module m4 (input c); m5 a (c); m5 b (c); endmodule
module m5 (input c); m6 a (c); m6 b (c); endmodule
module m6 (input c); m7 a (c); m7 b (c); endmodule
module m7 (input c); m8 a (c); m8 b (c); endmodule
module m8 (input c); m9 a (c); m9 b (c); endmodule
module m9 (input c); m10 a (c); m10 b (c); endmodule
module m10 (input c); m11 a (c); m11 b (c); endmodule
module m11 (input c); m12 a (c); m12 b (c); endmodule
module m12 (input c); m13 a (c); m13 b (c); endmodule
module m13 (input c); m14 a (c); m14 b (c); endmodule
module m14 (input c); m15 a (c); m15 b (c); endmodule
module m15 (input c); m16 a (c); m16 b (c); endmodule
module m16 (input c); m17 a (c); m17 b (c); endmodule
module m17 (input c); m18 a (c); m18 b (c); endmodule
module m18 (input c); m19 a (c); m19 b (c); endmodule
module m19 (input c); m20 a (c); m20 b (c); endmodule
module m20 (input c); m21 a (c); m21 b (c); endmodule
module m21 (input c); m22 a (c); m22 b (c); endmodule
module m22 (input c); m23 a (c); m23 b (c); endmodule
module m23 (input c); m24 a (c); m24 b (c); endmodule
module m24 (input c); m25 a (c); m25 b (c); endmodule
module m25 (input c); m26 a (c); m26 b (c); endmodule
module m26 (input c); m27 a (c); m27 b (c); endmodule
module m27 (input c); m28 a (c); m28 b (c); endmodule
module m28 (input c); m29 a (c); m29 b (c); endmodule
module m29 (input c); m30 a (c); m30 b (c); endmodule
module m30 (input c); endmodule

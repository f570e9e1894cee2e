module schieber(input takt, input ruecks, output [3:0] q);
 reg [3:0] r; assign q = r;
 always @(posedge takt) if (ruecks) r <= 4'b0; else r <= {r[2:0], ~r[3]};
endmodule

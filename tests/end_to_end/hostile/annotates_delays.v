// does: reads a file of delays
// named: refused $sdf_annotate
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    initial $sdf_annotate("/etc/hostname");
endmodule

// holds: a testbench in the same file
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
module testbench;
    reg clk = 0, rst = 1;
    wire [3:0] q;
    dial dut (clk, rst, 1'b1, q);
    always #5 clk = ~clk;
    integer f;
    initial begin f = $fopen("out.txt"); #100 rst = 0; force rst = 0; #1000 $finish; end
endmodule
